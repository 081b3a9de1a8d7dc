"""Load the compiled equations, if they are there, and call them on arrays."""

from __future__ import annotations

import ctypes
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
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
_NODE = SLOT["low.state"] + SLOT["low.parameter"] + SLOT["low.tangent"]  # numbers of a path's node
NODES_AT_ONCE = 16  # room for so many a lane; most climbs meet nine
_TRUE = ("converged", "stable")  # fields that say yes or no


def _columns(first: str, end: str, group: str = "") -> tuple[dict[str, slice | int], int]:
    """Fields of a group in rows that go from one field to before another: where they stand, and how wide a row is."""
    start, stop = _PLACES[first].start, _PLACES[end].start
    found: dict[str, slice | int] = {}
    for name, place in _PLACES.items():
        if start <= place.start < stop and name.startswith(group):
            at, width = place.start - start, place.stop - place.start
            found[name.removeprefix(group)] = slice(at, at + width) if width > 1 else at
    return found, stop - start


_JOB, _JOB_WIDTH = _columns("anchor", "steps.first")
_RECORD, _RECORD_WIDTH = _columns("low.state", "guess.state")
_SOLUTION, _SOLUTION_WIDTH = _columns("high.state", "moves.residual", "high.")
_MOVES, _MOVES_WIDTH = _columns("moves.residual", "loads", "moves.")
_LOADS_WIDTH = SLOT["loads"]
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
        library.solve.argtypes = [number, place, place, place, number, place]
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
            wide = np.broadcast_to(values, (lanes, *shape))
            out[:, at : at + width] = wide.reshape(lanes, width, order="F")
        at += width
    return out


def _jobs(lanes: Lanes, anchor: Array, **given: Any) -> Array:
    """A row of what each lane is asked."""
    jobs = np.zeros((lanes.size, _JOB_WIDTH))
    jobs[:, _JOB["anchor"]] = anchor[lanes].reshape((lanes.size, SLOT["anchor"]), order="F")
    for name, values in given.items():
        jobs[:, _JOB[name.replace("_", ".", 1)]] = values
    return jobs


def compiled_moves(lanes: Lanes, vehicle: Array, anchor: Array, state: Array, climb: Array) -> tuple[Array, ...]:
    """The fields of `solve.newton.Moves` in some lanes of a system.

    lanes: which, (k,); vehicle: as `packed`; anchor: (lanes, 2, 2); state (k, 8); climb (k,).
    """
    jobs = _jobs(lanes, anchor, guess_state=state, guess_parameter=climb)
    found = np.empty((lanes.size, _MOVES_WIDTH))
    core().evaluate(lanes.size, *_places(lanes, vehicle, jobs), 0, found.ctypes.data)
    found = np.asfortranarray(found)
    return tuple(found[:, place] for place in _MOVES.values())


def compiled_loads(lanes: Lanes, vehicle: Array, anchor: Array, state: Array, climb: Array) -> Array:
    """Normal forces at the contacts (k, 2, 3) [N] in some lanes of a system; arguments as of `compiled_moves`."""
    jobs = _jobs(lanes, anchor, guess_state=state, guess_parameter=climb)
    found = np.empty((lanes.size, _LOADS_WIDTH))
    core().evaluate(lanes.size, *_places(lanes, vehicle, jobs), 1, found.ctypes.data)
    return found.reshape((-1, 2, 3), order="F")


def compiled_solve(
    lanes: Lanes, vehicle: Array, anchor: Array, guess: Array, climb: Array, close: Array, iterations: int, goal: Any
) -> tuple[Array, ...]:
    """The fields of `solve.newton.Solution` that `solve_at` finds in some lanes of a system.

    lanes, vehicle and anchor as of `compiled_moves`, the rest as of `solve_at`.
    """
    which, value = (-1, 0.0) if goal is None else (goal.which, goal.value)
    jobs = _jobs(
        lanes, anchor, guess_state=guess, guess_parameter=climb, close=close, goal_which=which, goal_value=value
    )
    found = np.empty((lanes.size, _SOLUTION_WIDTH))
    core().solve(lanes.size, *_places(lanes, vehicle, jobs), iterations, found.ctypes.data)
    return _as_solution(found, _SOLUTION)


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


def compiled_strides(
    lanes: Lanes, vehicle: Array, anchor: Array, now: Any, plan: Any, bounds: Any, steps: Any, remembers: bool
) -> Strides:
    """What `solve.path` makes of the paths of some lanes of a system, until each ends or is held.

    Args:
        lanes: which, (k,).
        vehicle: as `packed`.
        anchor: (lanes, 2, 2) [m].
        now: the `Solution` where each path is (k).
        plan: the `Plan` of each (k).
        bounds: the `Bounds` of each (k).
        steps: the `Steps` of all.
        remembers: whether the system has friction.
    """
    rows = np.zeros((lanes.size, _RECORD_WIDTH))
    records = {"low": now, "plan": plan, "bounds": bounds}
    for name, place in _RECORD.items():
        group, _, field = name.partition(".")
        if group in records:
            rows[:, place] = getattr(records[group], field)
    rows[:, _RECORD["anchor"]] = anchor[lanes].reshape((lanes.size, SLOT["anchor"]), order="F")
    sizes = np.array([getattr(steps, name) for name in _STEPS])

    met: list[tuple[Lanes, Array]] = [(lanes[:0], np.empty((0, _NODE)))]
    going = np.arange(lanes.size)
    while going.size:
        some, its_lanes = np.ascontiguousarray(rows[going]), lanes[going]
        room = NODES_AT_ONCE * (going.size + 1)
        owner, nodes = np.empty(room, dtype=np.int64), np.empty((room, _NODE))
        count = core().strides(
            going.size,
            *_places(its_lanes, vehicle, some),
            sizes.ctypes.data,
            int(steps.iterations),
            int(remembers),
            room,
            owner.ctypes.data,
            nodes.ctypes.data,
        )
        rows[going] = some
        met.append((owner[:count], nodes[:count]))
        going = going[(some[:, _RECORD["verdict.end"]] == 0.0) & (some[:, _RECORD["verdict.held"]] == 0.0)]
    owner, nodes = (np.concatenate(parts) for parts in zip(*met, strict=True))
    unknowns = SLOT["low.state"]
    return Strides(
        now=_as_solution(rows, _RECORD, "low."),
        plan=tuple(rows[:, place] for name, place in _RECORD.items() if name.startswith("plan.")),
        end=rows[:, _RECORD["verdict.end"]],
        which=rows[:, _RECORD["verdict.which"]],
        held=rows[:, _RECORD["verdict.held"]] != 0.0,
        anchor=rows[:, _RECORD["anchor"]].reshape((-1, 2, 2), order="F"),
        lane=owner,
        parameter=nodes[:, unknowns],
        state=nodes[:, :unknowns],
        tangent=nodes[:, unknowns + 1 :],
    )


def _as_solution(rows: Array, places: dict[str, slice | int], group: str = "") -> tuple[Array, ...]:
    """The fields of a `Solution` from rows of numbers, each a copy."""
    found = {name: rows[:, places[f"{group}{name}"]] for name in _SOLUTION}
    return tuple(values != 0.0 if name in _TRUE else values.copy(order="F") for name, values in found.items())


def _places(lanes: Lanes, vehicle: Array, rows: Array) -> tuple[int, int, int]:
    assert rows.flags.c_contiguous
    assert vehicle.flags.c_contiguous
    assert lanes.dtype == np.int64
    return lanes.ctypes.data, vehicle.ctypes.data, rows.ctypes.data
