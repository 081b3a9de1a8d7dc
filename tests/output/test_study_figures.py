"""Figures of studies, drawn from small records: what they show adds up, and their words stand clear."""

from __future__ import annotations

import math
from itertools import pairwise
from types import SimpleNamespace as Made

import numpy as np
import pytest

from articulate.output.figures.band import band_picture, causes_picture
from articulate.output.figures.comparisons import bridge_picture, ladder_picture, merged_steps, ranking_picture
from articulate.output.figures.ladder_adapter import ladder_figure, ladder_rungs
from articulate.output.figures.rows import change_words
from articulate.output.figures.tallies import BandTally, Bar, Bridge, Contributor, LadderRung, Ranked
from articulate.output.figures.theme import MEDIA, PAGE, spread
from articulate.studies.design.tyre_ladder import WITH, WITHOUT
from tests.output import figure_checks as checks

CONNECTED, RELEASED = Bar("connected", 591.0, 548.0, 642.0), Bar("released", 656.0, 610.0, 702.0)
TALLY = BandTally(
    (CONNECTED, RELEASED),
    (
        Contributor("front.anti_roll_bar.over_spring_roll_stiffness", (0.31, 0.02)),
        Contributor("test.holding_share", (0.22, 0.35)),
        *(Contributor(f"an input of many, number {k}", (0.1 / (k + 1), 0.09 / (k + 1))) for k in range(12)),
        Contributor("an input that was not looked at", (math.nan, 0.001)),
    ),
)
CAUSES = (
    Bar("bar not fully released", 0.62, note="needs 40 % of its rate left"),
    Bar("ramp steeper than said", 0.21, note="needs 21.4° (20.9 to 22.0)"),
    Bar("tape read to the contact point, not to the foot of the square, by somebody in a hurry", 0.12),
    Bar("coil out of its seat", 0.004, note="rear left"),
)
BRIDGE = Bridge(
    Bar("the vehicle as it is", 591.0),
    (
        Bar("tyres", -28.4, -31.0, -26.0),
        Bar("front bump stops, longer by a spacer", -12.2),
        *(Bar(f"a change of little weight, number {k}", 0.5 - 0.1 * k) for k in range(12)),
        Bar("mass and centre of gravity", 14.6),
    ),
    Bar("the vehicle as it shall be", 591.0 - 28.4 - 12.2 + 14.6 + sum(0.5 - 0.1 * k for k in range(12))),
)
RANKING = [
    Ranked(Bar("the short one", 1035.0, 980.0, 1102.0)),
    Ranked(Bar("the van", 587.0, 560.0, 611.0), measured=True),
    Ranked(Bar("the one with a name so long that it must be broken into two lines or even more", 552.0, 500.0, 601.0)),
    Ranked(Bar("the one without a score", math.nan)),
]
LADDER = [
    LadderRung("265/70R17", (CONNECTED, RELEASED), Bar("", 0.55, 0.54, 0.56), fitted=True),
    LadderRung("285/70R17", (CONNECTED, RELEASED), Bar("", 0.57, 0.56, 0.58), note="rubs at full lock"),
    LadderRung("315/70R17", (CONNECTED, Bar("released", math.nan)), Bar("", math.nan), note="does not fit"),
]
DRAWINGS = {
    "band": lambda medium: band_picture(TALLY, "Kestrow Bellwether", medium),
    "causes": lambda medium: causes_picture(CAUSES, "Kestrow Bellwether", "not consistent (p = 0.004)", medium),
    "bridge": lambda medium: bridge_picture(BRIDGE, "Why", ["bars connected"], medium),
    "ranking": lambda medium: ranking_picture(RANKING, medium=medium),
    "ladder": lambda medium: ladder_picture(LADDER, "Kestrow Bellwether", medium),
}


@pytest.mark.parametrize("medium", MEDIA.values(), ids=MEDIA)
@pytest.mark.parametrize("what", DRAWINGS)
def test_no_words_overlap_or_are_cut_off(what, medium):
    assert not checks.objections(DRAWINGS[what](medium))


@pytest.mark.parametrize("what", DRAWINGS)
def test_same_input_same_bytes(what):
    for form in ("svg", "png"):
        assert DRAWINGS[what](PAGE).data(form) == DRAWINGS[what](PAGE).data(form)


def test_the_bridge_ends_where_the_second_vehicle_stands():
    picture = DRAWINGS["bridge"](PAGE)
    (axes,) = picture.figure.axes
    bars = [(patch.get_x(), patch.get_x() + patch.get_width()) for patch in axes.patches]
    totals, steps = bars[:2], bars[2:]
    assert totals[0][1] == BRIDGE.start.value
    assert steps[0][0] == BRIDGE.start.value
    for (_, end), (start, _) in pairwise(steps):
        assert start == pytest.approx(end, abs=1e-9)
    assert steps[-1][1] == pytest.approx(BRIDGE.end.value, abs=1e-9)
    assert totals[1][1] == BRIDGE.end.value


def test_small_steps_put_together_keep_the_sum():
    for most in (1, 2, 5, 40):
        merged = merged_steps(BRIDGE.steps, most)
        assert len(merged) == min(most, len(BRIDGE.steps))
        assert math.fsum(s.value for s in merged) == pytest.approx(math.fsum(s.value for s in BRIDGE.steps))
    kept = {step.label for step in merged_steps(BRIDGE.steps, 4)}
    assert {"tyres", "mass and centre of gravity"} <= kept


def test_what_does_not_fit_a_video_is_added_up_and_said():
    shares = [f"{words}" for words, _ in checks.words(DRAWINGS["band"](MEDIA["video"]))]
    assert any("others together" in words for words in shares)


def test_spread_places_are_apart_in_order_and_least_moved():
    """Against brute force over a fine grid of the first place."""
    wanted = [1.0, 1.1, 1.15, 4.0]
    found = spread(wanted, 0.5)
    assert np.all(np.diff(found) >= 0.5 - 1e-12)
    cost = sum((a - b) ** 2 for a, b in zip(found, wanted, strict=True))
    best = min(
        sum((a + 0.5 * k - w) ** 2 for k, w in enumerate(wanted[:3])) for a in np.linspace(0.0, 2.0, 4001)
    )  # the fourth stays where it is
    assert cost == pytest.approx(best, abs=1e-5)
    assert found[3] == 4.0
    limited = spread([0.0, 0.1], 1.0, low=0.0, high=3.0)
    assert limited[0] == 0.0
    assert limited[1] == 1.0


def test_rows_that_do_not_fit_a_video_are_counted():
    many = tuple(Bar(f"a cause of many, with a name of some length, {k}", 0.05) for k in range(20))
    words = [text for text, _ in checks.words(causes_picture(many, "x", "doubtful", MEDIA["video"]))]
    (told,) = [text for text in words if "more causes, together" in text]
    shown = sum(text.startswith("a cause of many") for text in words)
    assert told.startswith(f"{20 - shown} more")
    ranking = ranking_picture([Ranked(bar) for bar in many], medium=MEDIA["video"])
    assert any("more, lower" in text for text, _ in checks.words(ranking))
    assert not checks.objections(ranking)


def test_a_ladder_s_rungs_say_what_each_size_needs():
    def rung(code, policy, spacer, fits=True, rubs=False, fitted=False):
        score = Made(score=Made(value=590.0, low=560.0, high=610.0))
        angle = Made(value=0.55, low=0.54, high=0.56)
        return Made(
            size=Made(code=code),
            policy=policy,
            spacer=spacer,
            fits=fits,
            rubs=rubs,
            fitted=fitted,
            scores={"connected": score, "released": score},
            approach=angle,
        )

    rungs = [
        rung("265/70R17", WITHOUT, (0.0, 0.0), fitted=True),
        rung("265/70R17", WITH, (0.0, 0.0), fitted=True),
        rung("285/70R17", WITHOUT, (0.0, 0.0), rubs=True),
        rung("285/70R17", WITH, (0.011, 0.004)),
        rung("315/75R17", WITH, (0.03, 0.0), fits=False, rubs=True),
    ]
    found = ladder_rungs(rungs, ("connected", "released"))
    assert [(one.label, one.fitted, one.note) for one in found] == [
        ("265/70R17", True, ""),
        ("285/70R17", False, "rubs"),
        ("285/70R17", False, "spacers 11 mm"),
        ("315/75R17", False, "spacers 30 mm, does not fit"),
    ]
    assert [bar.label for bar in found[0].scores] == ["connected", "released"]
    ladder = Made(rungs=rungs, bars=("connected", "released"), spec=Made(name="x"))
    for medium in MEDIA.values():
        assert not checks.objections(ladder_figure(ladder, medium))


def test_a_band_that_reaches_beyond_the_ramp_is_said_and_drawn_so():
    tally = BandTally((Bar("connected", 480.0, 432.0, math.inf, "ramp ends, 43 %"), RELEASED), TALLY.contributors)
    for medium in MEDIA.values():
        picture = band_picture(tally, "x", medium)
        assert not checks.objections(picture)
        words = [text for text, _ in checks.words(picture)]
        assert "480 (432 to beyond the ramp)" in words
        assert "bars connected: ramp ends, 43 %" in words
        upper = picture.figure.axes[1]
        assert any(tuple(line.get_xdata()) == (432.0, upper.get_xlim()[1]) for line in upper.lines)
    ranking = ranking_picture([Ranked(Bar("a", 480.0, 432.0, math.inf)), Ranked(Bar("b", math.inf))])
    words = [text for text, _ in checks.words(ranking)]
    assert "480 (432 to beyond the ramp)" in words
    assert "beyond the ramp" in words


def test_no_change_has_no_sign_and_no_range_of_its_own():
    assert change_words(Bar("", -0.04, -0.04, -0.01)) == "0.0"
    assert change_words(Bar("", 0.31, 0.29, 0.33)) == "+0.3"
    assert change_words(Bar("", -3.1, -3.4, -2.9)) == "−3.1 (−3.4 to −2.9)"


def test_the_fitted_size_is_shown_in_a_video_and_no_angle_where_none_is_known():
    many = [
        LadderRung(f"{k}x12.50R17", (CONNECTED, RELEASED), Bar("", math.nan), fitted=k == 40) for k in range(25, 43)
    ]
    picture = ladder_picture(many, "x", MEDIA["video"])
    words = [text for text, _ in checks.words(picture)]
    assert "40x12.50R17 (fitted)" in words
    assert f"{len(many) - sum('x12.50R17' in text for text in words)} more rows not shown" in " ".join(words)
    assert not any("angle" in text for text in [*words, picture.description])
    assert len(picture.figure.axes) == 1
    assert not checks.objections(picture)
