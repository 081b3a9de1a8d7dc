"""Load the compiled equations, if they are there, and call them on arrays."""

from __future__ import annotations

import ctypes
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from math import prod
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.compiled.layout import DIGEST, SLOT, VEHICLE

Array = NDArray[np.float64]
Lanes = NDArray[np.int64]

FOLDER = Path(__file__).resolve().parent
LIBRARY = FOLDER / f"solver-{DIGEST}.so"  # named by its source, so that one of another state is never taken
SWITCH = "ARTICULATE_COMPILED"  # environment: "no" leaves the compiled equations alone
WIDTH = sum(prod(shape) for shape in VEHICLE.values())
_ENDS = np.cumsum(list(SLOT.values())).tolist()
_PLACES = {name: slice(end - width, end) for (name, width), end in zip(SLOT.items(), _ENDS, strict=True)}
NODES_AT_ONCE = 16  # room for so many a lane; most climbs meet nine
_TRUE = ("converged", "stable")  # fields that say yes or no


Places = dict[str, slice | int]  # of fields in a row


@cache
def _row(kind: str) -> tuple[Places, int]:
    """Where the fields of a kind of row stand, and how wide it is."""
    first, end, group = {  # the row goes from one field of a slot to before another; names without their group
        "job": ("anchor", "steps.first", ""),
        "record": ("low.state", "guess.state", ""),
        "solution": ("high.state", "moves.residual", "high."),
        "moves": ("moves.residual", "loads", "moves."),
    }[kind]
    start, stop = _PLACES[first].start, _PLACES[end].start
    found: Places = {}
    for name, place in _PLACES.items():
        if start <= place.start < stop and name.startswith(group):
            at, width = place.start - start, place.stop - place.start
            found[name.removeprefix(group)] = slice(at, at + width) if width > 1 else at
    return found, stop - start


_STEPS = [name.removeprefix("steps.") for name in SLOT if name.startswith("steps.")]


_aside = False


@cache
def _loaded() -> Any:
    if os.environ.get(SWITCH, "") == "no" or not LIBRARY.exists():
        return None
    number, place = ctypes.c_long, ctypes.c_void_p
    try:
        library = ctypes.CDLL(str(LIBRARY))
        library.evaluate.argtypes = [number, place, place, place, number, place]
        library.solve.argtypes = [number, place, place, place, number, number, place]
        library.strides.argtypes = [number, place, place, place, place, number, number, number, place, place]
        library.evaluate.restype = library.solve.restype = None
        library.strides.restype = number
    except (OSError, AttributeError):  # made for another machine
        return None
    return library


def core() -> Any:
    """The compiled solver; None where it is not there, not wanted, or set aside."""
    return None if _aside else _loaded()


@contextmanager
def set_aside() -> Iterator[None]:
    """NumPy alone while it lasts."""
    global _aside  # noqa: PLW0603 one switch of the process, as the environment's is
    before, _aside = _aside, True
    try:
        yield
    finally:
        _aside = before


def packed(system: Any, lanes: int) -> Array:
    """What the equations need of a system, a row a lane, (lanes, WIDTH); what is None counts as zeros."""
    out = np.zeros((lanes, WIDTH))
    at = 0
    for name, shape in VEHICLE.items():
        values, width = system, prod(shape)
        for part in name.split("."):
            values = None if values is None else getattr(values, part)
        if values is not None:
            wide = values if values.shape == (lanes, *shape) else np.broadcast_to(values, (lanes, *shape))
            out[:, at : at + width] = wide.reshape((lanes, width), order="F")
        at += width
    return out


Watch = tuple[float, Any]  # whether climb goes on (1) or back (-1), and the wheel of each margin, (4,) or (k, 4)
PLAIN: Watch = (1.0, (0, 1, 2, 3))


@dataclass(frozen=True)
class Asked:
    """Lanes of a system that something is asked about."""

    lanes: Lanes  # (k,)
    vehicle: Array  # of the whole system, as `packed`
    anchor: Array  # (k, 2, 2) [m]
    watch: Watch = PLAIN

    def put(self, rows: Array, places: Places) -> Array:
        """Write anchors and what is watched into rows."""
        rows[:, places["anchor"]] = self.anchor.reshape((self.lanes.size, SLOT["anchor"]), order="F")
        rows[:, places["watch.direction"]], rows[:, places["watch.wheels"]] = self.watch
        return rows

    def jobs(self, **given: Any) -> Array:
        """A row of what each lane is asked."""
        fields, width = _row("job")
        rows = self.put(np.zeros((self.lanes.size, width)), fields)
        for name, values in given.items():
            rows[:, fields[name.replace("_", ".", 1)]] = values
        return rows

    def places(self, rows: Array) -> tuple[int, int, int]:
        """Where the C code finds lanes, vehicles and rows."""
        assert rows.flags.c_contiguous
        assert self.vehicle.flags.c_contiguous
        assert self.lanes.dtype == np.int64
        return self.lanes.ctypes.data, self.vehicle.ctypes.data, rows.ctypes.data


def compiled_moves(asked: Asked, state: Array, climb: Array) -> tuple[Array, ...]:
    """The fields of `solve.newton.Moves` for states (k, 8) and climbs (k,)."""
    jobs = asked.jobs(guess_state=state, guess_parameter=climb)
    fields, width = _row("moves")
    found = np.empty((asked.lanes.size, width))
    core().evaluate(asked.lanes.size, *asked.places(jobs), 0, found.ctypes.data)
    found = np.asfortranarray(found)
    return tuple(found[:, place] for place in fields.values())


def compiled_loads(asked: Asked, state: Array, climb: Array) -> Array:
    """Normal forces at the contacts (k, 2, 3) [N] for states (k, 8) and climbs (k,)."""
    jobs = asked.jobs(guess_state=state, guess_parameter=climb)
    found = np.empty((asked.lanes.size, SLOT["loads"]))
    core().evaluate(asked.lanes.size, *asked.places(jobs), 1, found.ctypes.data)
    return np.asfortranarray(found).reshape((-1, 2, 3), order="F")


def compiled_solve(
    asked: Asked, guess: Array, parameter: Array, close: Array, iterations: int, goal: Any
) -> tuple[Array, ...]:
    """The fields of `solve.newton.Solution` that `solve_at` finds; arguments as there."""
    which, value = (-1, 0.0) if goal is None else (goal.which, goal.value)
    jobs = asked.jobs(guess_state=guess, guess_parameter=parameter, close=close, goal_which=which, goal_value=value)
    fields, width = _row("solution")
    found = np.empty((asked.lanes.size, width))
    core().solve(asked.lanes.size, *asked.places(jobs), iterations, 0, found.ctypes.data)
    return _as_solution(found, fields)


def compiled_settle(asked: Asked, start: Array, parameter: Array, iterations: int) -> Array:
    """States (k, 8) that the motion of `solve.newton.settle_from` ends in; arguments as there."""
    jobs = asked.jobs(guess_state=start, guess_parameter=parameter)
    found = np.empty((asked.lanes.size, SLOT["guess.state"]))
    core().solve(asked.lanes.size, *asked.places(jobs), iterations, 1, found.ctypes.data)
    return np.asfortranarray(found)


@dataclass(frozen=True)
class Strides:
    """What strides led to, (k,) each, and the nodes met on the way."""

    now: tuple[Any, ...]  # the fields of a `solve.newton.Solution`
    plan: tuple[Any, ...]  # and of a `solve.path.Plan`
    end: Array
    which: Array
    held: NDArray[np.bool_]
    anchor: Array  # (k, 2, 2) [m]
    lane: Lanes  # of each node
    parameter: Array
    state: Array
    tangent: Array


def compiled_strides(asked: Asked, now: Any, plan: Any, bounds: Any, steps: Any, remembers: bool) -> Strides:
    """What `solve.path` makes of paths until each ends or is held.

    Args:
        asked: the lanes, (k,).
        now: the `Solution` where each path is (k).
        plan: the `Plan` of each (k).
        bounds: the `Bounds` of each (k).
        steps: the `Steps` of all.
        remembers: whether the way moves anchors.
    """
    lanes = asked.lanes
    fields, width = _row("record")
    rows = asked.put(np.zeros((lanes.size, width)), fields)
    records = {"low": now, "plan": plan, "bounds": bounds}
    for name, place in fields.items():
        group, _, field = name.partition(".")
        values = getattr(records[group], field) if group in records else np.zeros((0, 0))
        if values.shape[-1]:  # guards have no width without friction
            rows[:, place] = values
    sizes = np.array([getattr(steps, name) for name in _STEPS])

    node = SLOT["low.state"] + SLOT["low.parameter"] + SLOT["low.tangent"]
    met: list[tuple[Lanes, Array]] = [(lanes[:0], np.empty((0, node)))]
    going = np.arange(lanes.size)
    while going.size:
        some, part = np.ascontiguousarray(rows[going]), replace(asked, lanes=lanes[going])
        room = NODES_AT_ONCE * (going.size + 1)
        owner, nodes = np.empty(room, dtype=np.int64), np.empty((room, node))
        count = core().strides(
            going.size,
            *part.places(some),
            sizes.ctypes.data,
            int(steps.iterations),
            int(remembers),
            room,
            owner.ctypes.data,
            nodes.ctypes.data,
        )
        rows[going] = some
        met.append((owner[:count], nodes[:count]))
        going = going[(some[:, fields["verdict.end"]] == 0.0) & (some[:, fields["verdict.held"]] == 0.0)]
    owner, nodes = (np.concatenate(parts) for parts in zip(*met, strict=True))
    unknowns = SLOT["low.state"]
    return Strides(
        now=_as_solution(rows, fields, "low."),
        plan=tuple(rows[:, place] for name, place in fields.items() if name.startswith("plan.")),
        end=rows[:, fields["verdict.end"]],
        which=rows[:, fields["verdict.which"]],
        held=rows[:, fields["verdict.held"]] != 0.0,
        anchor=rows[:, fields["anchor"]].reshape((-1, 2, 2), order="F"),
        lane=owner,
        parameter=nodes[:, unknowns],
        state=nodes[:, :unknowns],
        tangent=nodes[:, unknowns + 1 :],
    )


def _as_solution(rows: Array, places: Places, group: str = "") -> tuple[Array, ...]:
    """The fields of a `Solution` from rows of numbers, each a copy."""
    found = {name: rows[:, places[f"{group}{name}"]] for name in _row("solution")[0]}
    return tuple(values != 0.0 if name in _TRUE else values.copy(order="F") for name, values in found.items())
