"""Each cause does to the model what the same change to the vehicle file or to the reading would do."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from articulate.measure.conversions import Radii, ReadingKind, climb_of, reading_of
from articulate.measure.sheet_load import read_sheet
from articulate.spec import build, build_bodywork, load_vehicle, read_vehicle, with_setting, with_settings
from articulate.studies.audit.cause import Cause, Reading
from articulate.studies.audit.channels import observable_channels
from articulate.studies.audit.checks import LOOKS, checks
from articulate.studies.audit.possible import (
    CAUSES,
    Component,
    applicable,
    as_it_stands,
    components_of,
    rightly_read,
    scene_of,
    seen,
)
from articulate.studies.audit.reading_causes import READING_CAUSES
from articulate.studies.audit.sheet import scene_from
from articulate.studies.audit.sizes import NO_SIZE
from articulate.studies.audit.vehicle_causes import BOTH, OWN_STIFFNESS, STOWAGE, TAKEN_OUT, VEHICLE_CAUSES
from articulate.studies.audit.worlds import Subject, see
from articulate.studies.day.run_hints import run_hints
from articulate.studies.population.conditions import Conditions, lanes_of
from articulate.types import Case

ANGLE = float(np.radians(20.0))
WAGON = "vehicle_specs_demo/wagon.toml"
PICKUP = "vehicle_specs_demo/ladder_frame_pickup.toml"
BY_NAME = {cause.name: cause for cause in CAUSES}
LEFT, RELEASED, RIGHT = Case(), Case(bars="released"), Case(side="right")


def subject_of(spec):
    vehicles, test = lanes_of(spec, Conditions(), {})
    return Subject(vehicles, test, build_bodywork(spec).arch_gap)


def climb(vehicles, test, arch, *more, cases=(LEFT,)):
    subject = Subject(vehicles, test, arch, *more)
    return see([(subject, {case: subject.in_case(case) for case in cases})], cases)[0]


def scores(name, spec, size, variant="", cases=(LEFT,)):
    subject = subject_of(spec)
    real, chosen = BY_NAME[name].vehicles(subject, cases, np.array([size]), variant)
    worlds = see([(real, chosen)], cases)[0]
    return np.array([worlds.runs[case].climb[0] for case in cases])


def with_load(spec_path, mass, behind, left, height):
    text = Path(spec_path).read_text(encoding="utf-8")
    return read_vehicle(
        f'{text}\n[[load]]\nname = "more"\nmass = "{mass} kg"\nbehind_front_axle = "{behind} m"\n'
        f'left_of_centre = "{left} m"\nheight = "{height} m"\n',
        "with a load",
    )


@pytest.mark.parametrize(
    ("name", "size", "variant", "key", "value"),
    [
        ("ride height off", 0.020, "front", "front.ride_height_change", "20 mm"),
        ("ride height off", -0.015, "rear", "rear.ride_height_change", "-15 mm"),
        ("weak or wrong spring", 0.8, "rear", "rear.spring.wheel_rate", "24.8 N/mm"),
        ("stop spacers missing or added", 0.020, "rear", "rear.travel.bump", "65 mm"),
        ("damper that tops out early", 0.030, "rear", "rear.travel.droop", "75 mm"),
    ],
)
def test_a_cause_is_the_same_change_in_the_vehicle_file(name, size, variant, key, value):
    # By itself the auxiliary stiffness is assumed as a share of the springs and would go with them.
    spec = with_setting(load_vehicle(WAGON), "rear.auxiliary_roll.stiffness", "90 N m/deg")
    changed = subject_of(with_setting(spec, key, value))
    expected = climb(changed.vehicles, changed.test, changed.arch_gap).runs[LEFT].climb[0]
    found = scores(name, spec, size, variant)[0]
    assert found == pytest.approx(expected, rel=1e-7)
    assert abs(found / climb(*vars(subject_of(spec)).values()).runs[LEFT].climb[0] - 1.0) > 1e-3, "changes nothing"


@pytest.mark.parametrize(
    ("name", "size", "settings"),
    [
        (
            "bump stops hot, worn or changed",
            0.5,
            [("rear.bump_stop.rate", "28.75 N/mm"), ("rear.bump_stop.cubic_rate", "0.05 N/mm^3")],
        ),
        ("auxiliary roll stiffness", 3.0, [("rear.auxiliary_roll.over_springs", "120 %")]),
    ],
)
def test_softer_stops_and_stiffer_bushings_are_those_of_the_file(name, size, settings):
    spec = load_vehicle(WAGON)
    changed = subject_of(with_settings(spec, settings))
    expected = climb(changed.vehicles, changed.test, changed.arch_gap).runs[LEFT].climb[0]
    found = scores(name, spec, size, "rear")[0]
    assert found == pytest.approx(expected, rel=1e-7)
    assert abs(found / climb(*vars(subject_of(spec)).values()).runs[LEFT].climb[0] - 1.0) > 1e-3, "changes nothing"


def test_softer_tyres_have_the_stiffness_of_the_file_and_let_the_body_down():
    """The file keeps the height of the centre of gravity; a vehicle that sinks on softer tyres does not."""
    spec = load_vehicle(WAGON)
    filed = build(with_setting(spec, "tyre.pressure", "19.8 psi"))
    plain = build(spec)
    real = BY_NAME["tyre pressure"].vehicles(subject_of(spec), (), np.array([0.6]), "")[0].vehicles
    np.testing.assert_allclose(real.tyre_stiffness, filed.tyre_stiffness, rtol=1e-9)
    sunk = plain.reference_hub_height() - real.reference_hub_height()
    assert (sunk > 0.005).all()
    drop = plain.sprung_centre[0, 2] - real.sprung_centre[0, 2]
    assert sunk.min() <= drop <= sunk.max()


@pytest.mark.parametrize("where", STOWAGE)
def test_payload_is_a_load_in_the_file(where):
    spec = load_vehicle(WAGON)
    behind, left, height = STOWAGE[where][0].of(build(spec))[0]
    loaded = subject_of(with_load(WAGON, 150, behind, left, height))
    expected = climb(loaded.vehicles, loaded.test, loaded.arch_gap).runs[LEFT].climb[0]
    assert scores("payload or full tank", spec, 150.0, where)[0] == pytest.approx(expected, rel=1e-7)


def test_payload_lies_anywhere_in_its_part_of_the_vehicle():
    vehicles = build(load_vehicle(WAGON)).take(np.zeros(400, dtype=np.intp))
    for stowage, _ in STOWAGE.values():
        behind, left, height = stowage.of(vehicles).T / [[2.85], [vehicles.track[0, 1]], [1.0]]
        for values, limits in (
            (behind, stowage.behind),
            (left, stowage.left),
            (height - vehicles.sprung_centre[0, 2], stowage.above),
        ):
            assert values.min() == pytest.approx(limits[0], abs=0.02 * (limits[1] - limits[0]))
            assert values.max() == pytest.approx(limits[1], abs=0.02 * (limits[1] - limits[0]))
    assert sum(share for _, share in STOWAGE.values()) == pytest.approx(1.0)


def test_leaf_friction_is_suspension_friction_in_the_file():
    spec = load_vehicle(PICKUP)
    base = spec.inputs["rear.suspension_friction"].value
    more = subject_of(with_setting(spec, "rear.suspension_friction", f"{base + 700.0} N"))
    expected = climb(more.vehicles, more.test, more.arch_gap).runs[LEFT].climb[0]
    assert scores("leaf friction", spec, 700.0, "rear")[0] == pytest.approx(expected, rel=1e-7)
    assert expected < climb(*vars(subject_of(spec)).values()).runs[LEFT].climb[0]


def test_frame_rates_in_series_add_their_compliance():
    spec = load_vehicle(WAGON)
    own = spec.inputs["frame.torsional_rate"].value
    more = 4e3 * 180.0 / np.pi
    together = 1.0 / (1.0 / own + 1.0 / more)
    changed = subject_of(with_setting(spec, "frame.torsional_rate", f"{together} N m/rad"))
    expected = climb(changed.vehicles, changed.test, changed.arch_gap).runs[LEFT].climb[0]
    assert scores("frame twist", spec, more)[0] == pytest.approx(expected, rel=1e-7)


def test_larger_tyres_raise_the_body_and_come_nearer_to_the_arch():
    spec = load_vehicle(WAGON)
    larger = spec.inputs["tyre.diameter"].value + 0.040
    text = Path(WAGON).read_text(encoding="utf-8")
    text = text.replace(
        'size = "265/70R17"', f'size = "265/70R17"\ndiameter = "{larger} m"\nheights_measured_on = "265/70R17"', 1
    )
    filed = read_vehicle(text, "larger tyres")
    expected, arch = build(filed), build_bodywork(filed).arch_gap
    real = BY_NAME["different tyres"].vehicles(subject_of(spec), (), np.array([0.040]), "")[0]
    np.testing.assert_allclose(real.vehicles.tyre_radius, expected.tyre_radius)
    np.testing.assert_allclose(real.vehicles.sprung_centre, expected.sprung_centre, atol=1e-3)
    # The file works the gap out from the arch's own shape; straight up it shrinks by the radius.
    np.testing.assert_allclose(real.arch_gap, arch, atol=3e-3)
    assert (real.arch_gap < build_bodywork(spec).arch_gap - 0.015).all()


def test_bars_that_act_otherwise_than_they_are_called():
    spec = load_vehicle(WAGON)
    both = (LEFT, RELEASED)
    plain = climb(*vars(subject_of(spec)).values(), cases=both)
    connected, released = (plain.runs[case].climb[0] for case in both)
    assert released > 1.05 * connected
    bound = scores("bar not really released", spec, 1.0, cases=both)
    np.testing.assert_allclose(bound, [connected, connected], rtol=1e-9)
    half = scores("bar not really released", spec, 0.5, cases=both)
    assert connected < half[1] < released
    off = scores("bar released when called connected", spec, 1.0, cases=both)
    np.testing.assert_allclose(off, [released, released], rtol=1e-9)


def test_an_arch_that_is_met_at_the_bump_stop_of_its_wheel_takes_its_place():
    spec = load_vehicle(WAGON)  # the front stop acts at the wheel: only its rate differs
    vehicles = build(spec)
    subject = subject_of(spec)
    real = BY_NAME["tyre rubbing its arch"].vehicles(subject, (), np.array([0.050]), "front")[0].vehicles
    assert real.bump_gap[0, 0] == 0.050
    assert (real.bump_gap[0, 1], real.bump_rate[0, 1]) == (vehicles.bump_gap[0, 1], vehicles.bump_rate[0, 1])
    later = BY_NAME["tyre rubbing its arch"].vehicles(subject, (), np.array([0.300]), "front")[0].vehicles
    assert later.bump_gap[0, 0] == vehicles.bump_gap[0, 0]


def test_a_tyre_that_rubs_leaves_the_gap_over_the_stop_as_it_is():
    """Neither at rest nor, for one hub travel, at the mark: the gauge may not acquit a spacer."""
    spec = load_vehicle(WAGON)
    subject = subject_of(spec)
    clean = climb(*vars(subject).values())
    for axle, wheels in (("front", (0, 1)), ("rear", (2, 3))):
        rubs = see([BY_NAME["tyre rubbing its arch"].vehicles(subject, (LEFT,), np.array([0.030]), axle)], (LEFT,))[0]
        np.testing.assert_allclose(rubs.rest_bump[:, wheels], clean.rest_bump[:, wheels], atol=1e-4)
        late = see([BY_NAME["tyre rubbing its arch"].vehicles(subject, (LEFT,), np.array([0.300]), axle)], (LEFT,))[0]
        np.testing.assert_allclose(late.runs[LEFT].stop_gap, clean.runs[LEFT].stop_gap, atol=2e-3)
        assert rubs.runs[LEFT].climb[0] != pytest.approx(clean.runs[LEFT].climb[0], rel=1e-3)


@pytest.mark.parametrize("where", TAKEN_OUT)
def test_what_is_not_aboard_is_a_load_less(where):
    """Taken from a file that counts it: the same as the file without it."""
    spec = load_vehicle(WAGON)
    place = TAKEN_OUT[where][0].of(build(spec))[0]
    loaded = subject_of(with_load(WAGON, 80, *place))
    lighter = BY_NAME["lighter than filed"].vehicles(loaded, (LEFT,), np.array([80.0]), where)
    found = see([lighter], (LEFT,))[0].runs[LEFT].climb[0]
    assert found == pytest.approx(climb(*vars(subject_of(spec)).values()).runs[LEFT].climb[0], rel=1e-7)


@pytest.mark.parametrize(
    ("name", "size"),
    [("stop spacers missing or added", 0.02), ("ride height off", 0.03), ("weak or wrong spring", 0.8)],
)
def test_both_axles_are_one_and_then_the_other(name, size):
    subject = subject_of(load_vehicle(WAGON))
    one = BY_NAME[name].vehicles(subject, (), np.array([size]), "front")[0]
    both = BY_NAME[name].vehicles(subject, (), np.array([size]), BOTH)[0]
    again = BY_NAME[name].vehicles(one, (), np.array([size]), "rear")[0]
    for field in fields(both.vehicles):
        np.testing.assert_array_equal(getattr(both.vehicles, field.name), getattr(again.vehicles, field.name))


def test_one_low_tyre_lets_its_corner_down_and_the_loads_stay_in_balance():
    """Four tyres equally low are the pressure cause but for the body, which sinks by itself here."""
    subject = subject_of(load_vehicle(WAGON))
    low = see([BY_NAME["one tyre low"].vehicles(subject, (LEFT,), np.array([0.4]), "rear right")], (LEFT,))[0]
    clean = climb(*vars(subject).values())
    change = low.rest_hub[0] - clean.rest_hub[0]
    assert change.argmin() == 3
    assert change[3] < -0.010
    load = low.rest_load[0] - clean.rest_load[0]
    assert np.sign(load).tolist() == [-1, 1, 1, -1]
    assert load.sum() == pytest.approx(0.0, abs=1e-3)
    stiffness = low.rest_load[0, 3] / (subject.vehicles.tyre_radius[0, 1] - low.rest_hub[0, 3])
    filed = clean.rest_load[0, 3] / (subject.vehicles.tyre_radius[0, 1] - clean.rest_hub[0, 3])
    own = min(OWN_STIFFNESS, 0.5 * subject.vehicles.tyre_stiffness[0, 1])
    share = (own + 0.4 * (subject.vehicles.tyre_stiffness[0, 1] - own)) / subject.vehicles.tyre_stiffness[0, 1]
    assert stiffness / filed == pytest.approx(share, rel=0.01)  # but for the lean of the wheel
    here = low.runs[LEFT].climb[0]
    there = see([BY_NAME["one tyre low"].vehicles(subject, (RIGHT,), np.array([0.4]), "rear left")], (RIGHT,))[0]
    mirrored = replace(subject, vehicles=subject.vehicles.mirrored())
    other = see([BY_NAME["one tyre low"].vehicles(mirrored, (LEFT,), np.array([0.4]), "rear right")], (LEFT,))[0]
    assert there.runs[RIGHT].climb[0] == pytest.approx(other.runs[LEFT].climb[0], rel=1e-9)
    assert abs(here / clean.runs[LEFT].climb[0] - 1.0) > 2e-3


def test_one_of_two_bars_released():
    spec = load_vehicle("vehicle_specs_demo/short_two_door.toml")
    subject, cause = subject_of(spec), BY_NAME["one of two bars released only"]
    scene = scene_of(spec, [Reading(RELEASED, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.4)
    assert cause.applies(scene)
    assert len(cause.variants(scene)) == 2
    for i, variant in enumerate(cause.variants(scene)):
        chosen = cause.vehicles(subject, (LEFT, RELEASED), np.ones(1), variant)[1]
        np.testing.assert_array_equal(chosen[LEFT].bar_rate, subject.vehicles.bar_rate)
        assert chosen[RELEASED].bar_rate[0, i] == subject.vehicles.bar_rate[0, i]
        assert chosen[RELEASED].bar_rate[0, 1 - i] == 0.0
    one_bar = scene_of(load_vehicle(WAGON), [Reading(RELEASED, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.85)
    assert not cause.applies(one_bar)


def test_ground_that_gives_is_a_spring_in_series_and_lowers_the_mark():
    subject = subject_of(load_vehicle(WAGON))
    cause = BY_NAME["ground that gives"]
    spec = load_vehicle(WAGON)
    scene = scene_of(spec, [Reading(LEFT, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.85)
    worlds = see([cause.vehicles(subject, (LEFT,), np.array([0.05]), "the ramp")], (LEFT,))[0]
    series = 1.0 / (1.0 / subject.vehicles.tyre_stiffness[0, 0] + 0.05 / 1e4)
    assert worlds.subject.vehicles.tyre_stiffness[0].tolist() == pytest.approx(
        [series, subject.vehicles.tyre_stiffness[0, 1]]
    )
    run = worlds.runs[LEFT]
    sunk = 0.05 * run.wheel_load[0, 0] / 1e4
    what = seen(scene, worlds, Component(cause, "the ramp", 1.0), np.array([0.05]))
    assert what.climbs[0][0] == pytest.approx(run.climb[0] - sunk * np.cos(ANGLE) / np.sin(ANGLE))
    sinking = [channel for channel in observable_channels(scene) if channel.key.endswith(".sinks")]
    keys = {channel.key: float(channel.value(what)[0]) for channel in sinking}
    assert keys["ramp.sinks"] == pytest.approx(sunk)
    assert keys["floor.sinks"] == 0.0


def test_a_vehicle_askew_climbs_a_gentler_way_up_the_same_ramp():
    """Rigid geometry: sin of the way's angle = sin of the ramp's times cos of the heading."""
    subject = subject_of(load_vehicle(WAGON))
    cause, heading = BY_NAME["vehicle at an angle to the ramp"], np.radians([15.0])
    worlds = see([cause.vehicles(subject, (LEFT,), heading, "")], (LEFT,))[0]
    way = float(np.arcsin(np.sin(ANGLE) * np.cos(heading[0])))
    gentler = climb(subject.vehicles, replace(subject.test, angle=np.array([way])), subject.arch_gap)
    assert worlds.runs[LEFT].climb[0] == pytest.approx(gentler.runs[LEFT].climb[0])
    assert worlds.subject.ramp_angle[0] == pytest.approx(ANGLE)
    for kind in (ReadingKind.MARK_HEIGHT, ReadingKind.SLOPE_DISTANCE):
        scene = scene_of(load_vehicle(WAGON), [Reading(LEFT, kind, 0.0, 1.0)], ANGLE, 2.85)
        climbed = seen(scene, worlds, Component(cause, "", 1.0), heading).climbs[0][0]
        assert climbed == pytest.approx(worlds.runs[LEFT].climb[0] * np.cos(heading[0]))  # s sin(way) = s sin g cos h


def test_binding_joints_are_suspension_friction_in_the_file():
    spec = load_vehicle(WAGON)
    base = spec.inputs["rear.suspension_friction"].value
    more = subject_of(with_setting(spec, "rear.suspension_friction", f"{base + 400.0} N"))
    expected = climb(more.vehicles, more.test, more.arch_gap).runs[LEFT].climb[0]
    assert scores("binding joints or dampers", spec, 400.0, "rear")[0] == pytest.approx(expected, rel=1e-7)


def test_levelling_trims_an_axle_on_the_ramp_and_not_at_rest():
    spec = with_settings(load_vehicle(WAGON), [("rear.spring.kind", "air")])
    cause, subject = BY_NAME["self-levelling at work"], subject_of(spec)
    scene = scene_of(spec, [Reading(LEFT, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.85)
    assert cause.applies(scene)
    assert list(cause.variants(scene)) == ["rear"]
    assert not cause.applies(replace(scene, spec=load_vehicle(WAGON)))
    clean = climb(*vars(subject).values())
    levelled = see([cause.vehicles(subject, (LEFT,), np.array([0.03]), "rear")], (LEFT,))[0]
    trimmed = see([BY_NAME["ride height off"].vehicles(subject, (LEFT,), np.array([0.03]), "rear")], (LEFT,))[0]
    assert levelled.runs[LEFT].climb[0] == trimmed.runs[LEFT].climb[0] != clean.runs[LEFT].climb[0]
    stood = as_it_stands(levelled, Component(cause, "rear", 1.0), clean)
    np.testing.assert_array_equal(stood.rest_bump, clean.rest_bump)
    assert (trimmed.rest_bump[0, 2:] > clean.rest_bump[0, 2:] + 0.02).all()


def test_a_fallen_coil_takes_load_from_its_corner_and_the_one_across():
    spec = load_vehicle(WAGON)
    subject = subject_of(spec)
    fallen = BY_NAME["coil out of its seat"].vehicles(subject, (LEFT,), np.array([0.02]), "rear right")
    before = climb(*vars(subject).values()).rest_load[0]
    change = see([fallen], (LEFT,))[0].rest_load[0] - before
    assert np.sign(change).tolist() == [-1, 1, 1, -1]
    assert change.sum() == pytest.approx(0.0, abs=1e-3)


def read(name, kind, size=1.0, variant=""):
    """True climb and the climb the sheet would make, with a cause on the reading side at work on the wagon."""
    spec = load_vehicle(WAGON)
    labels = [Reading(case, kind, 0.0, 1.0, label=case.side) for case in (LEFT, RIGHT)]
    scene = scene_of(spec, labels, ANGLE, 2.85)
    worlds = climb(*vars(subject_of(spec)).values(), cases=(LEFT, RIGHT))
    what = seen(scene, worlds, Component(BY_NAME[name], variant, 1.0), np.array([size]))
    runs = [worlds.runs[case] for case in (LEFT, RIGHT)]
    return runs, [float(c[0]) for c in what.climbs], [float(m[0]) for m in what.marks]


@pytest.mark.parametrize(
    ("name", "meant", "taken"),
    [
        ("mark plumbed instead of squared", ReadingKind.MARK_HEIGHT, ReadingKind.PLUMBED_MARK_HEIGHT),
        ("mark plumbed instead of squared", ReadingKind.SLOPE_DISTANCE, ReadingKind.PLUMBED_MARK_DISTANCE),
        ("mark squared instead of plumbed", ReadingKind.PLUMBED_MARK_HEIGHT, ReadingKind.MARK_HEIGHT),
        ("hub height taken for mark height", ReadingKind.MARK_HEIGHT, ReadingKind.HUB_HEIGHT),
        ("slope distance entered as height", ReadingKind.MARK_HEIGHT, ReadingKind.SLOPE_DISTANCE),
        ("height entered as slope distance", ReadingKind.SLOPE_DISTANCE, ReadingKind.MARK_HEIGHT),
    ],
)
@pytest.mark.parametrize("variant", ["", "right"])
def test_a_reading_taken_one_way_and_entered_as_another(name, meant, taken, variant):
    """The closed forms of the readings say what comes of it, in every run or in one."""
    runs, found, marks = read(name, meant, variant=variant)
    for side, run, climbed, mark in zip(("left", "right"), runs, found, marks, strict=True):
        if variant not in ("", side):
            assert climbed == pytest.approx(float(run.climb[0]))
            continue
        value = reading_of(taken, run.climb, ANGLE, Radii(run.hub_distance, run.hub_distance))
        assert climbed == pytest.approx(
            float(climb_of(meant, value, ANGLE, Radii(run.hub_distance, run.hub_distance))[0])
        )
        assert mark == pytest.approx(float(run.climb[0]))


def test_other_slips_of_reading():
    runs, found, _ = read("sine and tangent mixed up", ReadingKind.MARK_HEIGHT)
    height = float(runs[0].climb[0]) * np.sin(ANGLE)
    assert found[0] == pytest.approx(height / np.tan(ANGLE))
    runs, found, _ = read("slipped whole inch", ReadingKind.MARK_HEIGHT, 0.0254, "right")
    assert found[0] == pytest.approx(float(runs[0].climb[0]))
    assert found[1] - float(runs[1].climb[0]) == pytest.approx(0.0254 / np.sin(ANGLE))
    runs, found, _ = read("misread inch fraction", ReadingKind.SLOPE_DISTANCE, 0.0127, "left")
    assert found[0] - float(runs[0].climb[0]) == pytest.approx(0.0127)
    runs, found, marks = read("stopped past the lift or short of it", ReadingKind.MARK_HEIGHT, 0.08, "every run")
    assert marks == pytest.approx(found), "the mark is really there"
    assert found[0] - float(runs[0].climb[0]) == pytest.approx(0.08)
    runs, found, _ = read("sides swapped", ReadingKind.MARK_HEIGHT)
    assert found == pytest.approx([float(runs[1].climb[0]), float(runs[0].climb[0])])
    runs, found, _ = read("wrong wheelbase", ReadingKind.MARK_HEIGHT, 0.95)
    assert found[0] == pytest.approx(0.95 * float(runs[0].climb[0]))


def test_a_distance_taped_level_and_a_wrong_radius():
    runs, found, _ = read("distance taped level", ReadingKind.SLOPE_DISTANCE)
    assert found[0] == pytest.approx(float(runs[0].climb[0]) * np.cos(ANGLE))
    for kind, variant, lost in (
        (ReadingKind.HUB_HEIGHT, "", -np.cos(ANGLE) / np.sin(ANGLE)),
        (ReadingKind.PLUMBED_MARK_HEIGHT, "", np.tan(ANGLE)),
        (ReadingKind.HUB_RISE, "at the mark", -np.cos(ANGLE) / np.sin(ANGLE)),
        (ReadingKind.HUB_RISE, "on the flat and at the mark", (1.0 - np.cos(ANGLE)) / np.sin(ANGLE)),
    ):
        runs, found, _ = read("wheel radius taken wrong", kind, 0.02, variant)
        assert found[0] - float(runs[0].climb[0]) == pytest.approx(0.02 * lost)


def test_a_hub_rise_is_judged_by_the_radius_of_the_sheet():
    """What is assumed is the loss at the mark; the radius on the flat was measured, whatever the file's tyres say."""
    spec = load_vehicle(WAGON)
    worlds = climb(*vars(subject_of(spec)).values())
    reading = Reading(LEFT, ReadingKind.HUB_RISE, 0.0, 1.0)
    own = float(worlds.rest_hub[0, 0] - worlds.runs[LEFT].hub_distance[0])
    for loss in (own, own - 0.008):
        scene = scene_of(spec, [reading], ANGLE, 2.85, radius_loss={LEFT: loss}, sheet_radius=0.350)
        off = float(rightly_read(scene, worlds, reading)[0] - worlds.runs[LEFT].climb[0])
        assert off == pytest.approx((loss - own) / np.tan(ANGLE), abs=1e-9)
    text = HUB_SHEET.format(radius="350 mm")
    scene = scene_from(spec, read_sheet(text, "a sheet"))
    assert not scene.radius_on_flat
    assert list(scene.radius_loss) == [LEFT]
    modelled = run_hints(build(spec), read_sheet(text, "a sheet"), "a file")["left", "connected"].radius_loss
    assert scene.radius_loss[LEFT] == pytest.approx(modelled.value)
    assert scene.sheet_radius == pytest.approx(0.350)


HUB_SHEET = """
vehicle = "Kestrow Bellwether"
date = 2026-05-14
wheelbase = "2850 mm"
[wheel]
radius_on_flat = "{radius}"
[[run]]
side = "left"
bars = "connected"
hub_rise = "520 mm"
"""


@pytest.mark.parametrize("kind", list(ReadingKind))
def test_a_reading_at_the_hub_is_right_where_its_radii_are(kind):
    """With the sheet's radius 10 mm too large, a hub reading loses r cos g/sin g and a plumbed mark gains r tan g."""
    spec = load_vehicle(WAGON)
    worlds = climb(*vars(subject_of(spec)).values())
    true = float(worlds.runs[LEFT].climb[0])
    reading = Reading(LEFT, kind, 0.0, 1.0)
    measured = scene_of(spec, [reading], ANGLE, 2.85)
    assert float(rightly_read(measured, worlds, reading)[0]) == pytest.approx(true)
    radius = float(worlds.runs[LEFT].hub_distance[0])
    loss = float(worlds.rest_hub[0, 0]) - radius - 0.010
    assumed = scene_of(spec, [reading], ANGLE, 2.85, radius_loss={LEFT: loss})
    off = float(rightly_read(assumed, worlds, reading)[0]) - true
    lost = {True: -0.010 / np.tan(ANGLE), False: 0.010 * np.tan(ANGLE)}[kind.on_hub]
    assert off == pytest.approx(lost if kind.needs_radius_on_ramp else 0.0, abs=1e-12)


def test_another_ramp_is_read_by_the_sheets_angle():
    """A mark's height on a steeper ramp, converted with the flatter one's sine."""
    spec = load_vehicle(WAGON)
    scene = scene_of(spec, [Reading(LEFT, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.85)
    real, chosen = BY_NAME["ramp of another angle"].vehicles(subject_of(spec), (LEFT,), np.radians([2.0]), "")
    worlds = see([(real, chosen)], (LEFT,))[0]
    what = seen(scene, worlds, Component(BY_NAME["ramp of another angle"], "", 1.0), np.radians([2.0]))
    assert what.climbs[0][0] == pytest.approx(worlds.runs[LEFT].climb[0] * np.sin(np.radians(22.0)) / np.sin(ANGLE))
    assert what.marks[0][0] == worlds.runs[LEFT].climb[0]


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.name)
def test_every_declaration_is_whole(cause):
    assert cause.sentence.endswith(".")
    assert cause.sentence[0].isupper()
    assert len(cause.sentence) > 30
    assert set(cause.marks) <= set(LOOKS)
    nodes, weights = cause.size.nodes()
    assert weights.sum() == pytest.approx(1.0)
    assert nodes.size == weights.size
    share = np.array([0.01, 0.5, 0.99])
    assert (np.diff(cause.size.at(share)) >= 0.0).all() or cause.size.values
    assert cause.size is NO_SIZE or cause.size.what


def test_names_are_unlike_and_sides_complete():
    assert len({cause.name for cause in CAUSES}) == len(CAUSES) == len(READING_CAUSES) + len(VEHICLE_CAUSES)
    assert all(cause.on_reading_side for cause in READING_CAUSES)
    assert not any(cause.on_reading_side for cause in VEHICLE_CAUSES)


def test_only_what_can_be_at_work_is_tried():
    spec = load_vehicle("vehicle_specs_demo/forward_control_van.toml")  # no bar can be released, no leaves
    scene = scene_of(spec, [Reading(LEFT, ReadingKind.SLOPE_DISTANCE, 0.0, 1.0)], ANGLE, 2.59)
    names = {cause.name for cause in applicable(scene)}
    assert not names & {"bar not really released", "leaf friction", "slope distance entered as height"}
    assert {"height entered as slope distance", "frame twist", "coil out of its seat"} <= names
    shares: dict[str, float] = {}
    for component in components_of(applicable(scene), scene):
        shares[component.cause.name] = shares.get(component.cause.name, 0.0) + component.share
    assert all(share == pytest.approx(1.0) for share in shares.values())


def test_slips_and_methods_sit_where_the_sheet_allows_them():
    spec = load_vehicle(WAGON)
    readings = [
        Reading(LEFT, ReadingKind.MARK_HEIGHT, 0.0, 1.0, label="run 1", unit="in"),
        Reading(RIGHT, ReadingKind.SLOPE_DISTANCE, 0.0, 1.0, label="run 2", unit="mm"),
    ]
    scene = scene_of(spec, readings, ANGLE, 2.85)
    places = {cause.name: set(cause.variants(scene)) for cause in applicable(scene)}
    assert places["slipped whole inch"] == places["misread inch fraction"] == {"run 1"}
    assert places["slipped centimetre or decimetre"] == places["distance taped level"] - {"every run"} == {"run 2"}
    assert places["mark plumbed instead of squared"] == {"every run", "run 1", "run 2"}
    metric = scene_of(spec, readings[1:], ANGLE, 2.85)
    names = {cause.name for cause in applicable(metric)}
    assert not names & {"slipped whole inch", "misread inch fraction", "slope distance entered as height"}


def test_checks_are_whole_and_read_channels_of_the_vehicle():
    spec = load_vehicle(WAGON)
    scene = scene_of(spec, [Reading(case, ReadingKind.MARK_HEIGHT, 0.0, 1.0) for case in (LEFT, RELEASED)], ANGLE, 2.85)
    found = checks(scene)
    assert len({check.name for check in found}) == len(found)
    for check in found:
        assert check.minutes > 0.0
        assert check.instruction.endswith(".")
        assert check.channels or check.looks
        assert check.caution or check.name in ("work the score out again", "look through photographs and film")


def test_a_new_cause_is_one_declaration():
    def bent(subject, size, _variant):
        vehicles = replace(subject.vehicles, wheelbase=subject.vehicles.wheelbase + size)
        return replace(subject, vehicles=vehicles)

    spec = load_vehicle(WAGON)
    new = Cause("axle set back", "The rear axle sits further back than it should.", NO_SIZE, alter=bent)
    scene = scene_of(spec, [Reading(LEFT, ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.85)
    assert applicable(scene, [*CAUSES, new])[-1] is new
    real, chosen = new.vehicles(subject_of(spec), (LEFT,), np.array([0.03]), "")
    assert see([(real, chosen)], (LEFT,))[0].runs[LEFT].climb[0] > 1.0


@pytest.mark.parametrize(
    ("variant", "settings"),
    [
        ("rear drive, open", {"driven_wheels": "rear"}),
        ("front drive, open", {"driven_wheels": "front"}),
        ("all wheels, open centre", {"driven_wheels": "all", "centre": "open", "centre_front_share": "50 %"}),
        ("all wheels, centre locked, open axles", {"driven_wheels": "all", "centre": "locked"}),
    ],
)
def test_wheelspin_is_the_drive_in_the_file_on_less_friction(variant, settings):
    spec = load_vehicle(WAGON)
    driven = subject_of(with_settings(spec, [(f"drive.{key}", value) for key, value in settings.items()]))
    slippery = replace(driven.test, friction=np.array([0.6]))
    expected = climb(driven.vehicles, slippery, driven.arch_gap).runs[LEFT].climb[0]
    assert scores("wheelspin", spec, 0.6, variant)[0] == pytest.approx(expected, rel=1e-7)
    assert expected < 0.95 * climb(*vars(subject_of(spec)).values()).runs[LEFT].climb[0]


def test_wheelspin_of_a_known_drive_is_that_drive_and_needs_a_run_of_which_no_lift_was_noted():
    rear = with_settings(load_vehicle(WAGON), [("drive.driven_wheels", "rear")])
    reading = Reading(LEFT, ReadingKind.SLOPE_DISTANCE, 500.0, 2.0)
    known = scene_of(rear, [reading], ANGLE, 2.85)
    unknown = scene_of(load_vehicle(WAGON), [reading], ANGLE, 2.85)
    lifted = scene_of(load_vehicle(WAGON), [replace(reading, lifted=2)], ANGLE, 2.85)
    cause = BY_NAME["wheelspin"]
    assert list(cause.variants(known)) == ["the drive as filed"]
    assert sum(cause.variants(unknown).values()) == pytest.approx(1.0)
    assert cause.applies(known)
    assert not cause.applies(lifted)
    real = cause.vehicles(subject_of(rear), (LEFT,), np.array([0.5]), "the drive as filed")[0]
    assert real.test.friction[0] == 0.5
    np.testing.assert_array_equal(real.vehicles.front_drive_share, [0.0])
