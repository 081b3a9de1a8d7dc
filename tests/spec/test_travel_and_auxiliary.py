"""How travel counts and what is left of it; auxiliary roll stiffness, twist beams, and what is assumed by kind."""

import numpy as np
import pytest

from articulate.constants import STANDARD_GRAVITY
from articulate.spec import build
from articulate.spec.build_axle import MOST_OF_BUMP
from articulate.wheelhouse import stop_compression

FRONT = 'travel.total = "200 mm"'
COUNTED = 'travel.counted = "to full bump"'
STOP = 'bump_stop = { rate = "60 N/mm", cubic_rate = "0.1 N/mm^3", full_bump_load = 2.5 }'


def front_load(vehicles):
    """Sprung load of one side at ride height, P [N]."""
    return float((vehicles.reference_axle_load() - vehicles.unsprung_mass * STANDARD_GRAVITY)[0, 0] / 2.0)


def test_a_stop_of_this_curve_gives_44_mm_under_two_and_a_half_loads_of_4500_n():
    # 44 mm at 60 N/mm + 0.1 N/mm^3, P = 4.5 kN, m = 2.5: derived from the cubic by hand, 2.64 kN + 8.52 kN = 11.16 kN.
    compression = stop_compression(np.array([2.5 * 4500.0]), np.array([60e3]), np.array([1e8]))
    assert compression == pytest.approx(0.044, abs=3e-4)


def test_travel_counted_to_full_bump_holds_the_stops_compression(edited):
    vehicles = build(edited((FRONT, f"{FRONT}\n{STOP}")))
    load = 2.5 * front_load(vehicles)
    gap = vehicles.bump_gap[0, 0]
    pressed = 0.45 * 0.200 - gap  # what is left of the bump share of the total
    assert 60e3 * pressed + 1e8 * pressed**3 == pytest.approx(load, rel=1e-9)
    assert vehicles.droop_gap[0, 0] == pytest.approx(0.55 * 0.200)
    assert vehicles.bump_rate[0, 0] == pytest.approx(60e3)


def test_travel_counted_to_first_touch_is_free(edited):
    vehicles = build(edited((FRONT, f"{FRONT}\n{STOP}"), (COUNTED, 'travel.counted = "to first touch"')))
    assert vehicles.bump_gap[0, 0] == pytest.approx(0.090)


def test_of_a_short_bump_the_stop_takes_seven_tenths_and_full_bump_stays(edited):
    soft = STOP.replace("60 N/mm", "30 N/mm").replace("0.1 N/mm^3", "0.03 N/mm^3")
    vehicles = build(edited((FRONT, f'travel.bump = "60 mm"\ntravel.droop = "90 mm"\n{soft}')))
    assert vehicles.bump_gap[0, 0] == pytest.approx(0.018)
    pressed = 0.060 - vehicles.bump_gap[0, 0]
    assert pressed == pytest.approx(MOST_OF_BUMP * 0.060)
    force = vehicles.bump_rate[0, 0] * pressed + vehicles.bump_rate_cubic[0, 0] * pressed**3
    assert force == pytest.approx(2.5 * front_load(vehicles), rel=1e-9)
    assert vehicles.bump_rate[0, 0] > 30e3


def test_a_softer_stop_leaves_less_gap(edited):
    gaps = [
        build(edited((FRONT, f"{FRONT}\n{STOP.replace('60', rate)}"))).bump_gap[0, 0] for rate in ("40", "60", "90")
    ]
    assert gaps[0] < gaps[1] < gaps[2]


@pytest.mark.parametrize(
    ("entry", "to_full_bump"),
    [
        (FRONT, True),
        ('travel.total = "200 mm"\ntravel.droop = "110 mm"', True),
        ('travel.bump = "90 mm"\ntravel.droop = "110 mm"', False),
        ('travel.total = "200 mm"\ntravel.bump = "90 mm"', False),
    ],
)
def test_what_is_not_said_of_counting_is_said_back(edited, entry, to_full_bump):
    spec = edited(
        (f"{FRONT}  # wheel travel, bump and droop together; leave both lines out if it is not known", entry),
        (f'{COUNTED}  # as brochures count; what a tape says is "to first touch" of the bump stop', ""),
    )
    assert spec.axles[0].to_full_bump is to_full_bump
    told = [remark for remark in spec.remarks if remark.startswith("front.travel.total counts to full bump")]
    assert len(told) == (1 if to_full_bump else 0)
    assert ("front.bump_stop.full_bump_load" in spec.inputs) is to_full_bump


def test_travel_nobody_knows_is_assumed_by_the_kind_of_axle(edited):
    spec = edited((FRONT, ""), (COUNTED, ""))
    travel = spec.inputs["front.travel.total"]
    assert travel.source == "assumed"
    assert travel.low < 0.16
    assert travel.high > 0.24
    assert spec.axles[0].to_full_bump
    assert build(spec).bump_gap[0, 0] > 0.0


@pytest.mark.parametrize("form", ['stiffness = "120 N m/deg"', f'wheel_rate = "{120 * 180 / np.pi / 1.58**2!r} N/m"'])
def test_auxiliary_roll_stiffness_in_its_forms(edited, form):
    vehicles = build(edited(("[rear]\n", f'[rear]\nauxiliary_roll = {{ {form}, doubles_at = "200 mm" }}\n')))
    couple = vehicles.auxiliary_rate[0, 1] * vehicles.track[0, 1] ** 2
    assert couple == pytest.approx(120 * 180 / np.pi)
    # At 200 mm of left minus right travel the cubic part is as large as the linear one.
    assert vehicles.auxiliary_rate_cubic[0, 1] * 0.2**3 == pytest.approx(vehicles.auxiliary_rate[0, 1] * 0.2)
    assert build(edited()).auxiliary_rate_cubic[0, 1] == 0.0


def test_auxiliary_over_springs_is_a_share_of_their_couple(edited):
    v = build(edited(("[rear]\n", '[rear]\nauxiliary_roll.over_springs = "50 %"\n')))
    springs = 2.0 * v.spring_rate[0, 1] * v.spring_half_base[0, 1] ** 2  # 2 k b^2
    assert v.auxiliary_rate[0, 1] * v.track[0, 1] ** 2 == pytest.approx(0.5 * springs)


def test_released_bars_leave_the_auxiliary_stiffness(edited):
    v = build(edited(("anti_roll_bar = true", "anti_roll_bar.releasable = true")))
    assert v.released().bar_rate[0, 0] == 0.0
    np.testing.assert_array_equal(v.released().auxiliary_rate, v.auxiliary_rate)
    assert (v.auxiliary_rate > 0.0).all()


def test_links_set_what_is_assumed(edited):
    def share(*lines: str) -> float:
        return (
            edited(("[rear]\n", "[rear]\n" + "".join(f"{line}\n" for line in lines)))
            .inputs["rear.auxiliary_roll.over_springs"]
            .value
        )

    plain, arms, leaves = share(), share('links = "radius arms"'), share('spring.kind = "leaf"')
    assert arms > 2.0 * plain  # two radius arms 130-330 %, links 20-50 %; common practice, no source
    assert leaves == share('links = "leaves"')


def test_leaves_are_stiff_unladen(edited):
    # 1.28 Hz (compact SUV), 1.55 (large van), 2.0-2.1 (4x4 bus), derived from second-hand data: all in the range.
    leaf = edited(("[rear]\n", '[rear]\nspring.kind = "leaf"\n')).inputs["rear.spring.ride_frequency"]
    assert leaf.low < 1.28 < leaf.value < 2.1 < leaf.high
    assert leaf.value > edited().inputs["rear.spring.ride_frequency"].value


def test_the_engine_sets_the_front_share(edited):
    def share(engine: str) -> float:
        return edited(("wheelbase", f'engine = "{engine}"\nwheelbase')).inputs["mass.front_share"].value

    # Transverse engine 57-60 % on the front; common practice, no source.
    assert share("rear") < 0.45 < share("mid") + 0.02 < share("front longitudinal") < share("front transverse") <= 0.60


def test_front_drive_alone_tells_of_an_engine_across(edited):
    def share(*changes: tuple[str, str]) -> float:
        return edited(*changes).inputs["mass.front_share"].value

    driven = ("[front]\n", '[drive]\ndriven_wheels = "front"\n\n[front]\n')
    across = ("wheelbase", 'engine = "front transverse"\nwheelbase')
    assert share(driven) == share(across) > share()
    assert share(driven, ("wheelbase", 'engine = "rear"\nwheelbase')) < 0.45  # what is said goes before


def test_a_twist_beam_has_no_bar_and_a_long_arm(edited):
    spec = edited(('suspension = "solid"\ntrack', 'suspension = "twist beam"\ntrack'), ("anti_roll_bar = false", ""))
    v = build(spec)
    assert not v.solid[0, 1]
    assert v.swing_arm[0, 1] == pytest.approx(2.0)
    springs = 0.5 * v.spring_rate[0, 1] * v.track[0, 1] ** 2
    assert 0.5 <= v.auxiliary_rate[0, 1] * v.track[0, 1] ** 2 / springs <= 2.0  # 50-200 %; common practice, no source


def test_a_twist_beam_further_forward_swings_about_a_longer_arm(edited):
    def arm(beam: str) -> float:
        place = f'twist_beam = {{ bush_spacing = "1.1 m", bush_to_hub = "430 mm", bush_to_beam = "{beam}" }}'
        return float(
            build(
                edited(
                    ('suspension = "solid"\ntrack', f'suspension = "twist beam"\n{place}\ntrack'),
                    ("anti_roll_bar = false", ""),
                )
            ).swing_arm[0, 1]
        )

    assert arm("430 mm") == pytest.approx(0.79)  # at the hubs: half the track, as a solid axle
    assert arm("150 mm") == pytest.approx(0.79 + 0.55 * (430 / 150 - 1))
    assert arm("10 mm") > 20.0  # at the bushes: a trailing arm


@pytest.mark.parametrize(
    ("changes", "key", "why"),
    [
        ([("[front]\n", '[front]\nlinks = "radius arms"\n')], "front.links", "those of a solid axle"),
        ([('suspension = "independent"', 'suspension = "twist beam"')], "front.suspension", "does not steer"),
        (
            [
                ('suspension = "solid"\ntrack', 'suspension = "twist beam"\ntrack'),
                ("anti_roll_bar = false", "anti_roll_bar = true"),
            ],
            "rear.anti_roll_bar",
            "cannot be told from the beam",
        ),
        (
            [("[rear]\n", '[rear]\nauxiliary_roll = { stiffness = "90 N m/deg", over_springs = "40 %" }\n')],
            "rear.auxiliary_roll.over_springs",
            "says it already",
        ),
        ([("[rear]\n", '[rear]\ntwist_beam.bush_to_hub = "430 mm"\n')], "rear.twist_beam.bush_to_hub", "no twist beam"),
        ([("anti_roll_bar = false", "")], "rear.anti_roll_bar", "it is needed"),
    ],
)
def test_what_does_not_go_together_is_refused(faults_of, changes, key, why):
    faults = faults_of(*changes)
    assert any(fault.key == key and why in fault.why for fault in faults), [(f.key, f.why) for f in faults]


def test_a_beam_half_described_names_what_is_missing(faults_of):
    faults = faults_of(
        ('suspension = "solid"\ntrack', 'suspension = "twist beam"\ntwist_beam.bush_to_hub = "430 mm"\ntrack'),
        ("anti_roll_bar = false", ""),
    )
    assert {fault.key for fault in faults} == {"rear.twist_beam.bush_spacing", "rear.twist_beam.bush_to_beam"}
