"""The compiled equations do the arithmetic of the NumPy code: the same evaluations, and so the same climbs."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from articulate.climb import Outcome, climb_to_unload, creep_back, friction_turned_over
from articulate.compiled import library
from articulate.model.balance import FRONT_A, RampSystem
from articulate.model.ramp_test import ramp_test
from articulate.model.steady_turn import TurnSystem
from articulate.model.watched import WatchedLoads
from articulate.solve.newton import Goal, Moves, Solution, moves_of, settle_from, solve_at
from articulate.spec import load_vehicle
from articulate.spec.build import build_many
from tests.random_vehicles import random_tests, random_vehicles

ROOT = Path(__file__).resolve().parent.parent
LANES = 403  # no multiple of what is done at once
CLOSE = 1e-12

compiled = pytest.mark.skipif(library.core() is None, reason="no C compiler was there when the program was installed")


def wide(lanes, seed, friction=True):
    """Random vehicles with everything there may be: friction, linked and progressive springs, unlike sides."""
    rng = np.random.default_rng(seed)
    vehicles = random_vehicles(seed, lanes)
    return replace(
        vehicles,
        friction_force=rng.uniform(50.0, 800.0, (lanes, 2)) * friction,
        friction_stiffness=np.full((lanes, 2), 1e5),
        spring_linked=rng.random((lanes, 2)) < 0.3,
        spring_rate_factor=rng.choice([1.0, 1.6], (lanes, 2)),
        spring_rise_at=np.full((lanes, 2), 0.02),
        tyre_share=rng.uniform(0.8, 1.0, (lanes, 2, 2)),
        cross_link_rate=rng.choice([0.0, 2e4], lanes),
    )


def apart(found, expected):
    """Largest difference, relative where numbers are large; what is not finite must be so in both."""
    assert np.array_equal(np.isfinite(found), np.isfinite(expected))
    found, expected = np.asarray(found, dtype=float), np.asarray(expected, dtype=float)
    return float(np.nanmax(np.abs(found - expected) / (1.0 + np.abs(expected)), initial=0.0))


@compiled
@pytest.mark.parametrize("friction", [True, False])
def test_each_evaluation_is_that_of_the_numpy_code(friction):
    rng = np.random.default_rng(7)
    vehicles = wide(LANES, 3, friction)
    system = RampSystem.of(vehicles, random_tests(3, LANES))
    state, climb = np.asfortranarray(rng.normal(0.0, 0.05, (LANES, 8))), rng.uniform(-1.0, 4.0, LANES)
    system.set_anchor(np.asfortranarray(rng.normal(0.0, 0.03, (LANES, 2, 2))))
    expected = moves_of(system, state, climb)
    found = Moves(*system.moves(state, climb))
    for field in fields(Moves):
        assert getattr(found, field.name).shape == getattr(expected, field.name).shape, field.name
        assert apart(getattr(found, field.name), getattr(expected, field.name)) < CLOSE, field.name
    assert np.isfinite(found.newton).all(axis=1).mean() > 0.9


@compiled
@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 64])
def test_some_lanes_are_worked_out_from_the_whole(count):
    rng = np.random.default_rng(count)
    system = RampSystem.of(wide(LANES, 4), random_tests(4, LANES))
    rows = rng.choice(LANES, count, replace=False)
    state, climb = rng.normal(0.0, 0.03, (count, 8)), rng.uniform(0.0, 2.0, count)
    part = system.part(rng.permutation(LANES)).part(np.arange(LANES))  # a part of a part
    part = system.part(rows)
    system.carry(rows, state + 0.02)  # what the whole is told, the part knows
    alone = system.take(rows)
    found, expected = Moves(*part.moves(state, climb)), moves_of(alone, state, climb)
    for field in fields(Moves):
        assert apart(getattr(found, field.name), getattr(expected, field.name)) < CLOSE, field.name
    tangent, step = rng.normal(0.0, 0.1, (count, 8)), np.full(count, 0.3)
    assert np.array_equal(
        part.loss(state, tangent, state + 0.01, -tangent, step),
        alone.loss(state, tangent, state + 0.01, -tangent, step),
    )
    assert np.array_equal(part.evaluate(state, climb).equations, alone.evaluate(state, climb).equations)


@compiled
def test_a_system_with_equations_of_its_own_is_not_compiled():
    vehicles = wide(3, 2)
    assert RampSystem.of(vehicles, random_tests(2, 3)).compiled
    for kind in RampSystem.__subclasses__():
        assert not kind.__new__(kind).compiled
    assert not TurnSystem.turning(vehicles).compiled
    assert TurnSystem.turning(vehicles).moves(np.zeros((3, 8)), np.zeros(3)) is None


def both_ways(work):
    """What some work gives compiled, and by NumPy alone."""
    found = work()
    with library.set_aside():
        assert library.core() is None
        return found, work()


@compiled
def test_climbs_of_wide_vehicles_are_the_same():
    vehicles, test = wide(120, 11), random_tests(11, 120)
    found, expected = both_ways(lambda: climb_to_unload(vehicles, test))
    assert np.array_equal(found.outcome, expected.outcome)
    assert np.array_equal(found.wheel, expected.wheel)
    assert np.array_equal(found.jumps, expected.jumps)
    assert apart(found.score, expected.score) * 1000.0 < 0.01
    assert np.isfinite(found.score).sum() > 90


@compiled
@pytest.mark.parametrize("room", [library.NODES_AT_ONCE, 4])  # with little room the paths are taken up again and again
def test_paths_come_through_the_same_nodes(room, monkeypatch):
    monkeypatch.setattr(library, "NODES_AT_ONCE", room)
    vehicles, test = wide(60, 5), random_tests(5, 60)
    found, expected = both_ways(lambda: climb_to_unload(vehicles, test))
    assert apart(found.anchor, expected.anchor) < CLOSE
    for lane in range(60):
        ours, theirs = (
            np.column_stack([nodes.parameter, nodes.state, nodes.after_jump])[nodes.lane == lane]
            for nodes in (found.nodes, expected.nodes)
        )
        assert ours.shape == theirs.shape
        assert apart(ours, theirs) < 1e-9


@compiled
def test_what_is_let_go_settles_in_the_same_state():
    rng = np.random.default_rng(8)
    system = RampSystem.of(wide(80, 8, friction=False), random_tests(8, 80))
    start, climb = rng.normal(0.0, 0.03, (80, 8)), rng.uniform(-0.5, 0.5, 80)
    found, expected = both_ways(lambda: settle_from(system, start, climb))
    assert np.array_equal(found.converged, expected.converged)
    assert np.array_equal(found.stable, expected.stable)
    assert apart(found.state, expected.state) < 1e-9
    assert found.converged.sum() > 60


@compiled
def test_a_margin_is_aimed_at_in_the_same_way():
    vehicles, test = wide(40, 9), random_tests(9, 40)
    climbed = climb_to_unload(vehicles, test)
    lifts = np.flatnonzero(climbed.outcome == Outcome.WHEEL_LIFTS)
    vehicles, test = vehicles.take(lifts), test.take(lifts)
    system = RampSystem.of(vehicles, test)
    system.set_anchor(climbed.anchor[lifts])
    goal = Goal(climbed.wheel[lifts], test.touch_load + 5.0)
    for watched in (system, WatchedLoads(system, -1.0, climbed.wheel[lifts, None])):
        sign = 1.0 if watched is system else -1.0
        aim = goal if watched is system else Goal(np.zeros(lifts.size, dtype=np.intp), -goal.value)
        found, expected = both_ways(
            lambda on=watched, d=sign, at=aim: solve_at(on, climbed.state[lifts], d * climbed.climb[lifts], goal=at)
        )
        assert found.converged.all()
        assert (sign * found.parameter < climbed.climb[lifts]).mean() > 0.9  # more load: further down
        for field in fields(Solution):
            assert apart(getattr(found, field.name), getattr(expected, field.name)) < 1e-9, field.name


@compiled
def test_loads_of_the_contacts_are_those_of_the_posture():
    rng = np.random.default_rng(3)
    system = RampSystem.of(wide(21, 6), random_tests(6, 21))
    state, climb = rng.normal(0.0, 0.03, (21, 8)), rng.uniform(0.0, 3.0, 21)
    found, expected = both_ways(lambda: system.loads(state, climb))
    assert apart(found, expected) < CLOSE
    assert (found > 0.0).any(axis=0).sum() >= 5


@compiled
def test_demo_vehicles_climb_and_creep_back_the_same():
    vehicles = build_many([load_vehicle(path) for path in sorted((ROOT / "vehicle_specs_demo").glob("*.toml"))])
    test = ramp_test(vehicles.lanes)

    def scores():
        climbed = climb_to_unload(vehicles, test)
        others = creep_back(vehicles, test, climbed), friction_turned_over(vehicles, test, climbed)
        return np.stack([climbed.score, *(other.score for other in others)])

    found, expected = both_ways(scores)
    assert np.isfinite(found).all()
    assert np.abs(found - expected).max() < 0.01


def test_the_c_code_is_that_of_the_python_code():
    done = subprocess.run(
        [sys.executable, "scripts/compiled_core", "--check"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_recorded_operation_is_told_from_another():
    """The check above would be worth nothing if the text did not follow the code."""
    sys.path.insert(0, str(ROOT / "scripts"))
    try:
        from recording import Node, Recorded, recorded
    finally:
        sys.path.pop(0)
    from articulate.model import friction

    with recorded(friction):
        x = np.array([Node.of("input", "x", 0)], dtype=object).view(Recorded)
        once, twice = (friction.np.maximum(x, 0.0) * factor for factor in (1.0, 2.0))
    assert once[0].operation == "maximum"
    assert (twice[0].operation, twice[0].operands[0]) == ("*", once[0])
    assert friction.np is np


@pytest.mark.parametrize("content", [b"", b"not a library"])
def test_what_is_no_library_is_left_alone(tmp_path, content, monkeypatch):
    (tmp_path / "moves.so").write_bytes(content)
    monkeypatch.setattr(library, "LIBRARY", tmp_path / "moves.so")
    library._loaded.cache_clear()
    try:
        assert library.core() is None
    finally:
        library._loaded.cache_clear()


def test_without_a_compiler_the_program_installs_all_the_same(tmp_path, monkeypatch):
    sys.path.insert(0, str(ROOT / "scripts"))
    try:
        import core_library
    finally:
        sys.path.pop(0)
    for name in ("pieces.c", "flow.c", "layout.py"):
        (tmp_path / name).write_bytes((library.FOLDER / name).read_bytes())
    monkeypatch.setenv("CC", "no-such-compiler")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "NumPy does the work" in core_library.build(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flow.c", "layout.py", "pieces.c"]


def test_the_environment_can_leave_it_alone():
    code = "from articulate.compiled.library import core; print(core())"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={library.SWITCH: "no", "PATH": ""},
    )
    assert done.stdout.strip() == "None"


def test_anchors_are_where_the_friction_is():
    """The one input that moves is read from the system, lane by lane."""
    system = RampSystem.of(wide(5, 1), random_tests(1, 5))
    state = np.zeros((5, 8))
    before = system.moves(state, np.zeros(5)) or ()
    state[2, FRONT_A] = 0.05
    system.relax(state)
    after = system.moves(np.zeros((5, 8)), np.zeros(5)) or ()
    if before:
        changed = np.abs(before[0] - after[0]).max(axis=1) > 0.0
        assert changed.tolist() == [False, False, True, False, False]
