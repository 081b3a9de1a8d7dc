"""What of the solver is recorded, and as what: pieces that read and write the numbers of a slot, each a lane's.

A slot holds everything the solver knows of one lane while it works on it, field after field; the C code works on a few
slots at a time. Each piece is a function of the solver, run once on nodes.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from math import prod
from typing import Any, cast

import numpy as np
from environment import ROOT
from recording import Node, Recorded, constant, recorded

from articulate.model import balance, carriers, friction, posture, suspension, tyre_contact, watched
from articulate.model.ramp_test import ramp_test
from articulate.solve import linear, newton, path
from articulate.spec import load_vehicle
from articulate.spec.build import build

RECORDED = (balance, carriers, friction, posture, suspension, tyre_contact, watched, newton, linear, path)
UNKNOWNS = balance.UNKNOWNS
WHEELS, GUARDS = 4, 8
WATCHED = np.array([1, 2, 3])  # margins of a climb: every wheel but the one that climbs
SOLUTION = {
    "state": UNKNOWNS,
    "parameter": 1,
    "tangent": UNKNOWNS,
    "margins": WHEELS,
    "margin_rates": WHEELS,
    "converged": 1,
    "stable": 1,
    "residual": 1,
    "guards": GUARDS,
}
STEPS = [field.name for field in fields(path.Steps) if field.name != "crowded"]
Shapes = dict[str, tuple[int, ...]]


@dataclass(frozen=True)
class Piece:
    """A function of C: what it leaves in the slot, always or where a condition holds."""

    name: str
    always: dict[str, list[Node]]  # by the name of the field
    where: dict[str, list[Node]]
    condition: Node | None = None

    @property
    def ends(self) -> list[Node]:
        """All nodes that are asked for."""
        parts = [*self.always.values(), *self.where.values()]
        return [one for part in parts for one in part] + ([self.condition] if self.condition else [])


def everything() -> balance.RampSystem:
    """A system of one lane in which every element is there, each side with its own numbers."""
    vehicle = build(load_vehicle(ROOT / "vehicle_specs_demo" / "wagon.toml"))
    vehicle = replace(
        vehicle,
        friction_force=np.ones((1, 2)),
        friction_stiffness=np.ones((1, 2)),
        tyre_share=np.full((1, 2, 2), 0.5),
        spring_drop=np.ones((1, 2, 2)),
    )
    return balance.RampSystem.of(vehicle, ramp_test(1))


def inputs(place: str, shape: tuple[int, ...], truth: bool = False) -> Recorded:
    """One lane of an array whose numbers are inputs, counted in the order they have in memory."""
    nodes = np.empty((1, *shape), dtype=object, order="F")
    for count, index in enumerate(np.ndindex(*shape[::-1])):
        nodes[(0, *index[::-1])] = Node.of("input", place, count, truth=truth)
    return nodes.view(Recorded)


def as_nodes(record: Any, place: str, found: Shapes) -> Any:
    """A record whose arrays are inputs in place of numbers; their paths and shapes (without lanes) go to `found`."""
    made = {}
    for name in (field.name for field in fields(record)):
        value, here = getattr(record, name), f"{place}{name}"
        if is_dataclass(value):
            made[name] = as_nodes(value, f"{here}.", found)
            continue
        found[here] = value.shape[1:]
        made[name] = inputs(here, value.shape[1:], value.dtype == np.bool_)
    return type(record)(**made)


def solution(place: str) -> newton.Solution:
    """A `Solution` that stands in the slot."""
    parts = {
        name: inputs(f"{place}.{name}", (width,) if width > 1 else (), name in ("converged", "stable"))
        for name, width in SOLUTION.items()
    }
    return newton.Solution(**cast("Any", parts))


def numbers(*places: str) -> list[Any]:
    """Single numbers of the slot."""
    return [inputs(place, ()) for place in places]


def as_fields(place: str, record: Any) -> dict[str, list[Node]]:
    """The arrays of a record as fields of the slot."""
    names = [field.name for field in fields(record)]
    return {f"{place}.{name}": as_field(getattr(record, name)) for name in names if name != "plan"}


def as_field(array: Any) -> list[Node]:
    """One array, in the order it has in memory."""
    return cast("list[Node]", np.asarray(array).reshape(-1, order="F").tolist())


def record_pieces() -> tuple[Shapes, dict[str, int], list[Piece]]:
    """Paths and shapes of the vehicle's numbers that are used, the fields of a slot and their widths, the pieces."""
    shapes: Shapes = {}
    vehicle = everything()
    with recorded(*RECORDED):
        whole = as_nodes(vehicle, "", shapes)
        system = watched.WatchedLoads(
            whole, cast("Any", inputs("watch.direction", ())), inputs("watch.wheels", (WHEELS,))
        )
        trial = inputs("trial.state", (UNKNOWNS,)), inputs("trial.parameter", ())
        moves = newton.moves_of(system, *trial)
        widths = {field.name: np.asarray(getattr(moves, field.name)).size for field in fields(moves)}
        pieces = [
            Piece("moves", as_fields("moves", moves), {}),
            Piece("loads", {"loads": as_field(whole.posture(*trial).contacts.normal_force)}, {}),
            *_settling(system),
            _begin(),
            _judge(widths),
            _aim(),
            _verdict(system),
            _carry(whole),
        ]
    slot = {f"low.{name}": width for name, width in SOLUTION.items()}
    slot |= {f"plan.{field.name}": 1 for field in fields(path.Plan)}
    slot |= {f"bounds.{field.name}": 1 for field in fields(path.Bounds)}
    slot |= {f"verdict.{name}": 1 for name in ("end", "which", "held", "onward")}
    slot |= {"anchor": prod(shapes.pop(ANCHOR))}
    slot |= {"watch.direction": 1, "watch.wheels": WHEELS}
    slot |= {"guess.state": UNKNOWNS, "guess.parameter": 1, "close": 1, "goal.which": 1, "goal.value": 1}
    slot |= {f"steps.{name}": 1 for name in STEPS}
    slot |= {f"high.{name}": width for name, width in SOLUTION.items()}
    slot |= {f"moves.{name}": width for name, width in widths.items()}
    slot |= {"loads": len(pieces[1].always["loads"])}
    slot |= {"attempt.state": UNKNOWNS, "attempt.parameter": 1, "attempt.step": UNKNOWNS, "attempt.step_parameter": 1}
    slot |= {"attempt.factor": 1, "attempt.merit": 1, "trial.state": UNKNOWNS, "trial.parameter": 1}
    slot |= {"goes_on": 1, "settling": 1}
    return shapes, slot, pieces


ANCHOR = "friction.anchor"  # the one input of the system that moves: it stands in the slot


def _begin() -> Piece:
    """The first attempt of `solve_at`."""
    guess, parameter = inputs("guess.state", (UNKNOWNS,)), inputs("guess.parameter", ())
    attempt = newton.Attempt.at(guess, parameter)
    trial, trial_s = attempt.trial()
    nothing = newton.unsolved(guess, parameter, WHEELS, GUARDS)
    fields_of = as_fields("attempt", attempt) | as_fields("high", nothing)
    return Piece("begin", fields_of | {"trial.state": as_field(trial), "trial.parameter": as_field(trial_s)}, {})


def _judge(widths: dict[str, int]) -> Piece:
    """A trial judged as in `solve_at`."""
    attempt = newton.Attempt(
        inputs("attempt.state", (UNKNOWNS,)),
        inputs("attempt.parameter", ()),
        inputs("attempt.step", (UNKNOWNS,)),
        *numbers("attempt.step_parameter", "attempt.factor", "attempt.merit"),
    )
    at = newton.Moves(
        **{name: inputs(f"moves.{name}", (width,) if width > 1 else ()) for name, width in widths.items()}
    )
    which, value, close, worst = numbers("goal.which", "goal.value", "close", "high.residual")
    judged = newton.judge(attempt, at, close, newton.Goal(which, value))
    trial, trial_s = judged.attempt.trial()
    always = as_fields("attempt", judged.attempt)
    always |= {"trial.state": as_field(trial), "trial.parameter": as_field(trial_s)}
    always |= {"goes_on": as_field(judged.goes_on)}
    always |= {"high.residual": as_field(newton.worst_of(worst, judged))}
    found = as_fields("high", judged.solution(at))
    del found["high.residual"]
    return Piece("judge", always, found, as_field(judged.done)[0])


def _settling(system: watched.WatchedLoads) -> list[Piece]:
    """The motion of `settle_from`: its begin and one step."""
    start, parameter = inputs("guess.state", (UNKNOWNS,)), inputs("guess.parameter", ())
    first = [constant(newton.FIRST_SETTLING_STEP)]
    begin: dict[str, Any] = {"trial.state": start, "trial.parameter": parameter, "settling": first}
    state, s, h = inputs("trial.state", (UNKNOWNS,)), *numbers("trial.parameter", "settling")
    moved = newton.settling(cast("Any", system.evaluate(state, s)), state, h)
    on = {"trial.state": moved.state, "settling": moved.step, "goes_on": moved.goes_on}
    pieces = {"begin_settling": begin, "settle_on": on}
    return [
        Piece(name, {field: as_field(array) for field, array in parts.items()}, {}) for name, parts in pieces.items()
    ]


def _plan() -> path.Plan:
    return path.Plan(*numbers(*(f"plan.{field.name}" for field in fields(path.Plan))))


def _bounds() -> path.Bounds:
    return path.Bounds(*numbers(*(f"bounds.{field.name}" for field in fields(path.Bounds))))


def _steps() -> path.Steps:
    return path.Steps(**cast("Any", {name: inputs(f"steps.{name}", ()) for name in STEPS}))


def _aim() -> Piece:
    """What the next stride or aim starts from."""
    state, parameter, close, goal = path.attempt_of(solution("low"), _plan(), _bounds(), _steps())
    guess = {"guess.state": as_field(state), "guess.parameter": as_field(parameter), "close": as_field(close)}
    return Piece("aim", guess | as_fields("goal", goal), {})


def _verdict(system: watched.WatchedLoads) -> Piece:
    """What became of it."""
    found = path.verdict(system, solution("low"), solution("high"), _plan(), _bounds(), WATCHED, _steps())
    return Piece("verdict", as_fields("verdict", found) | as_fields("plan", found.plan), {})


def _carry(system: balance.RampSystem) -> Piece:
    """What friction remembers of the state that was reached."""
    reached = inputs("high.state", (UNKNOWNS,))[:, balance.FRONT_A :]
    assert system.friction is not None
    return Piece("carry", {"anchor": as_field(friction.drawn_along(system.friction, system.geometry, reached))}, {})
