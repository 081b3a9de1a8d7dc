"""Load the compiled equations, if they are there, and call them on arrays."""

from __future__ import annotations

import ctypes
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from math import prod
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.compiled.layout import DIGEST, OUT, VEHICLE

Array = NDArray[np.float64]
Lanes = NDArray[np.int64]

FOLDER = Path(__file__).resolve().parent
LIBRARY = FOLDER / f"moves-{DIGEST}.so"  # named by its source, so that one of another state is never taken
SWITCH = "ARTICULATE_COMPILED"  # environment: "no" leaves the compiled equations alone
WIDTH = sum(prod(shape) for shape in VEHICLE.values())
_ENDS = np.cumsum(list(OUT.values())).tolist()
_PARTS = [slice(end - width, end) for end, width in zip(_ENDS, OUT.values(), strict=True)]


_aside = False


@cache
def _loaded() -> Any:
    if os.environ.get(SWITCH, "") == "no" or not LIBRARY.exists():
        return None
    try:
        function = ctypes.CDLL(str(LIBRARY)).moves
    except (OSError, AttributeError):  # made for another machine
        return None
    number, place = ctypes.c_long, ctypes.c_void_p
    function.argtypes = [number, place, place, number, place, place, place, place]
    function.restype = None
    return function


def core() -> Any:
    """The compiled function; None where it is not there, not wanted, or set aside."""
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


def compiled_moves(rows: Lanes, vehicle: Array, anchor: Array, state: Array, climb: Array) -> tuple[Array, ...]:
    """The fields of `solve.newton.Moves` in some lanes of a system, arrays stored lane fastest.

    rows: the lanes, (k,); vehicle: as `packed`; anchor: (lanes, 2, 2), stored lane fastest; state (k, 8); climb (k,).
    """
    out = np.empty((rows.size, _ENDS[-1]), order="F")
    state, climb = np.asfortranarray(state), np.ascontiguousarray(climb)
    given = (a.ctypes.data for a in (anchor, state, climb, out))
    core()(rows.size, rows.ctypes.data, vehicle.ctypes.data, vehicle.shape[0], *given)
    return tuple(out[:, part] if part.stop - part.start > 1 else out[:, part.start] for part in _PARTS)
