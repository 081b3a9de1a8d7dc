"""Options that describe the ramp test: what each command may be told of it, and how it is read.

Commands about one climb and commands about bands are told the same things; what they make of a range differs, and
`Ramp` serves both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import read_option, stop_at

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest
    from articulate.spec import Estimate
    from articulate.spec.quantities import Reading
    from articulate.studies.moving_climb import ReleaseOn
    from articulate.studies.population import Conditions

RampAngle = Annotated[str, typer.Option(help="5 to 35 deg.")]
UncertainAngle = Annotated[str, typer.Option("--ramp-angle", help="5 to 35 deg, e.g. '20 deg ± 0.3 deg'.")]
Side = Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")]
TouchLoad = Annotated[str, typer.Option(help="Load at which a wheel counts as unloaded.")]
FilmLoad = Annotated[
    str, typer.Option("--touch-load", help="Load at which a wheel counts as unloaded; a film needs 10 to 50 N.")
]
UncertainLoad = Annotated[
    str, typer.Option("--touch-load", help="Load at which a wheel counts as unloaded, e.g. '10 to 50 N'.")
]
HoldingShare = Annotated[
    float | None,
    typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1; without it the drive's, or 0.5."),
]
UnknownShare = Annotated[
    float | None,
    typer.Option(
        help="Share of the slope force that the ramp wheel holds, 0-1; without it the drive's, or 0.5 and not known."
    ),
]
UncertainShare = Annotated[
    str,
    typer.Option("--holding-share", help="Share of the slope force that the ramp wheel holds; a known drive says it."),
]
Friction = Annotated[
    str | None,
    typer.Option(help="Friction of tyre on ramp and floor, where the drive is known; dry if not said, 0.6 to 1.0."),
]
RampLength = Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")]

ReleasedOn = Annotated[
    str,
    typer.Option("--release-on", help="Where bars are released: floor (unloaded), or ramp (from the driver's seat)."),
]

MOST_TOUCH_LOAD = 2000.0  # [N]; a wheel that carries more is not unloaded
LARGEST_SCORE = 5000.0  # beyond it, a slip of the pen
LEAST_LENGTH, MOST_LENGTH = 0.1, 100.0  # [m], of a ramp
LEAST_FRICTION, MOST_FRICTION = 0.05, 1.5  # wet ice to soft rubber
NOT_KNOWN = "0 to 1"  # a holding share


@dataclass(frozen=True)
class Ramp:
    """The ramp test as typed, with what is not known of it."""

    angle: Estimate
    touch_load: Estimate
    holding_share: Estimate | None  # None where it is not known
    length: float  # [m], along the slope; inf if not known
    friction: Estimate | None = None  # of tyre on ramp and floor; None for dry ground

    def test(self) -> RampTest:
        """The conditions of one climb, by the nominal values."""
        from articulate.model.ramp_test import DRY_FRICTION, ramp_test

        share = None if self.holding_share is None else self.holding_share.value
        friction = DRY_FRICTION if self.friction is None else self.friction.value
        return ramp_test(1, self.angle.value, share, self.touch_load.value, self.length, friction)

    def conditions(self) -> Conditions:
        """The conditions with their ranges."""
        from articulate.studies.population import DRY, UNKNOWN_SHARE, Conditions

        share = UNKNOWN_SHARE if self.holding_share is None else self.holding_share
        return Conditions(self.angle, share, self.touch_load, self.length, self.friction or DRY)

    def chosen(self) -> Conditions:
        """The conditions with angle and touch load as chosen, without their ranges."""
        from dataclasses import replace

        from articulate.studies.population import DEGREE, exactly

        angle, load = exactly(self.angle.value, "deg", DEGREE), exactly(self.touch_load.value, "N")
        return replace(self.conditions(), ramp_angle=angle, touch_load=load)


def read_ramp(
    faults: list[str],
    ramp_angle: str = "20 deg",
    side: str = "left",
    touch_load: str = "0 N",
    holding_share: float | str | None = None,
    ramp_length: str | None = None,
    friction: str | None = None,
) -> Ramp:
    """Read the options of the ramp, or stop with all that is wrong with them and with those read before.

    Args:
        faults: what is wrong with the command's other options.
        ramp_angle: with or without a range.
        side: only checked; commands pass it on as it is.
        touch_load: with or without a range.
        holding_share: a number; a text with a range; None where it is not known.
        ramp_length: None where it is not known.
        friction: of tyre on ramp and floor, with or without a range; None for dry ground.
    """
    from articulate.prediction import SIDES

    angle = read_ramp_angle("--ramp-angle", ramp_angle, "the usual ramp is '20 deg'", faults)
    touch = read_option("--touch-load", touch_load, "FORCE", faults)
    if touch is not None and not _within(touch, 0.0, MOST_TOUCH_LOAD):
        negative = "negative, " if touch.low < 0.0 else ""
        faults.append(
            f"--touch-load {touch_load}: {negative}outside 0 to 2000 N; '0 N' is the ideal score, a film needs "
            "'10 to 50 N'"
        )
    share = _read_share(holding_share, faults)
    length = math.inf
    if ramp_length is not None:
        read = read_option("--ramp-length", ramp_length, "LENGTH", faults)
        if read is not None:
            length = read.value
            if not LEAST_LENGTH <= length <= MOST_LENGTH:
                faults.append(
                    f"--ramp-length {ramp_length}: outside 0.1 to 100 m; measure along the slope, e.g. '10 ft'"
                )
    grip = None
    if friction is not None:
        grip = read_option("--friction", friction, "RATIO", faults)
        if grip is not None and not _within(grip, LEAST_FRICTION, MOST_FRICTION):
            faults.append(f"--friction {friction}: outside 0.05 to 1.5; dry ground has '0.6 to 1.0'")
    if side not in SIDES:
        faults.append(f"--side {side}: not a side; left or right")
    stop_at(faults)
    assert angle is not None
    assert touch is not None
    known = None if grip is None else as_given("--friction", grip)
    return Ramp(as_given("--ramp-angle", angle), as_given("--touch-load", touch), share, length, known)


def sheet_says(context: typer.Context, sheet: Path | None, names: Sequence[str], faults: list[str]) -> None:
    """Note options that were typed beside a run sheet, which says what they would."""
    for name in names if sheet is not None else ():
        source = context.get_parameter_source(name)
        if source is not None and source.name == "COMMANDLINE":
            faults.append(f"--{name.replace('_', '-')}: the run sheet says it; leave it out, or change {sheet}")


def read_release_on(release_on: str, faults: list[str]) -> ReleaseOn | None:
    """Where the bars are released; what is wrong goes to the faults."""
    from articulate.studies.moving_climb import RELEASE_ON

    place = next((one for one in RELEASE_ON if one == release_on), None)
    if place is None:
        faults.append(f"--release-on {release_on}: not a place; floor or ramp")
    return place


def check_bars(bars: str, faults: list[str]) -> None:
    """Note a state of the bars that there is not."""
    if bars not in ("connected", "released"):
        faults.append(f"--bars {bars}: not a state of the bars; connected or released")


def read_ramp_angle(option: str, text: str, works: str, faults: list[str]) -> Reading | None:
    """An angle a ramp can have; what is wrong goes to the faults."""
    angle = read_option(option, text, "ANGLE", faults)
    if angle is not None and not _within(angle, math.radians(5.0), math.radians(35.0)):
        faults.append(f"{option} {text}: outside 5 to 35 deg; {works}")
    return angle


def read_score(option: str, text: str, faults: list[str]) -> Reading | None:
    """A score with its tolerance; what is wrong goes to the faults."""
    from articulate.spec.errors import QuantityError
    from articulate.spec.quantities import RATIO, read_quantity

    works = f"a score has no unit and lies between 1 and {LARGEST_SCORE:g}; write '587 ± 4'"
    try:
        score = read_quantity(text, RATIO)
    except QuantityError as error:
        faults.append(f"{option} {text}: {error.why}; {works}")
        return None
    if score.unit or not _within(score, 1.0, LARGEST_SCORE):
        faults.append(f"{option} {text}: {works}")
        return None
    return score


def as_given(option: str, reading: Reading) -> Estimate:
    """What was typed for an option, as an input."""
    from articulate.spec import Estimate

    return Estimate(
        reading.value,
        reading.low,
        reading.high,
        reading.distribution,
        "given",
        f"{option} {reading.text}",
        reading.unit,
        reading.unit_size,
    )


def _within(reading: Reading, low: float, high: float) -> bool:
    return low - 1e-9 <= reading.low <= reading.high <= high + 1e-9


def _read_share(share: float | str | None, faults: list[str]) -> Estimate | None:
    from articulate.spec import Estimate

    if share is None or share == NOT_KNOWN:
        return None
    if isinstance(share, str):
        reading = read_option("--holding-share", share, "RATIO", faults)
        if reading is None:
            return None
        if not _within(reading, 0.0, 1.0):
            faults.append(f"--holding-share {share}: outside 0 to 1; '{NOT_KNOWN}' if it is not known")
        return as_given("--holding-share", reading)
    if not 0.0 <= share <= 1.0:
        faults.append(f"--holding-share {share}: outside 0 to 1; 0.5 is the default")
    return Estimate(share, share, share, "exact", "given", "chosen", "", 1.0)
