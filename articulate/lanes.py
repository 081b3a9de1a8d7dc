"""Frozen records of arrays with one entry a lane: taken, joined, spread out.

A field may be such a record itself, or a dictionary of arrays or records.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from functools import cache, partial
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Lanes = NDArray[np.intp] | NDArray[np.bool_] | slice
Record = TypeVar("Record")


def of_lanes(values: Any, lanes: NDArray[np.intp]) -> Any:
    """The chosen lanes of an array stored lane fastest, in the same order of storage."""
    return values.T.take(lanes, axis=-1).T


def take_fast(record: Record, lanes: NDArray[np.intp]) -> Record:
    """The record of the chosen lanes, its arrays stored lane fastest; what is None stays so."""
    return _each([record], lambda arrays: of_lanes(arrays[0], lanes))


def take(record: Record, lanes: Lanes) -> Record:
    """The record of the chosen lanes."""
    return _each([record], lambda arrays: arrays[0][lanes])


def put(record: Record, lanes: NDArray[np.intp], values: Record) -> None:
    """Overwrite some lanes of a record of arrays."""
    for name in _names(type(record)):  # type: ignore[arg-type]
        getattr(record, name)[lanes] = getattr(values, name)


def join(records: Sequence[Record]) -> Record:
    """One record of all lanes, one batch after the other."""
    return _each(records, np.concatenate)


def gathered(parts: Iterable[tuple[slice, Record]], lanes: int) -> Record:
    """As `join` of parts that fill so many lanes, each put in its place as it comes, so that none has to be kept."""
    whole: Any = None
    for where, record in parts:
        if where == slice(0, lanes):
            whole = record
            continue
        if whole is None:
            whole = _each([record], lambda arrays: np.empty_like(arrays[0], shape=(lanes, *arrays[0].shape[1:])))
        _each([whole, record], partial(_put, where))
    return whole  # type: ignore[no-any-return]


def _put(where: slice, arrays: list[Any]) -> Any:
    whole, part = arrays
    whole[where] = part
    return whole


def spread_out(record: Record, places: NDArray[np.intp], lanes: int) -> Record:
    """A record of so many lanes that has the given one's in their places, and nothing elsewhere.

    Nothing is NaN, -1 in an array of indices, False.
    """

    def spread(arrays: list[Any]) -> Any:
        values = arrays[0]
        nothing = {"f": np.nan, "i": -1, "b": False}[values.dtype.kind]
        whole = np.full((lanes, *values.shape[1:]), nothing, dtype=values.dtype)
        whole[places] = values
        return whole

    return _each([record], spread)


def _each(records: Sequence[Record], of_arrays: Any) -> Record:
    """One record of what becomes of each field's arrays; what is None stays so."""
    first: Any = records[0]
    made = {}
    for name in _names(type(first)):  # type: ignore[arg-type]
        parts = [getattr(record, name) for record in records]
        if isinstance(parts[0], np.ndarray):
            made[name] = of_arrays(parts)
        elif is_dataclass(parts[0]):
            made[name] = _each(parts, of_arrays)
        elif isinstance(parts[0], dict):
            made[name] = {key: _one([part[key] for part in parts], of_arrays) for key in parts[0]}
        else:
            made[name] = None if parts[0] is None else of_arrays(parts)
    return type(first)(**made)  # type: ignore[no-any-return]


def _one(values: list[Any], of_arrays: Any) -> Any:
    """Of an entry of a field that is a dictionary of arrays or of records."""
    return of_arrays(values) if isinstance(values[0], np.ndarray) else _each(values, of_arrays)


@cache  # a climb of one vehicle takes lanes some five hundred times
def _names(record: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(record))
