"""Named groups of quantities in which two vehicles differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.errors import ArticulateError
from articulate.spec.errors import nearest
from articulate.studies.explain.vehicle_parts import (
    AUXILIARY,
    BAR,
    BASES,
    CROSS_LINK,
    DRIVE,
    FRICTION,
    GEOMETRY,
    LOAD,
    MASS,
    QUANTITIES,
    RIDE_HEIGHT,
    STOPS,
    UNSPRUNG,
    Parts,
)
from articulate.types import AXLES

SAME = 1e-9  # relative difference up to which two values are the same

# Joined in this order where more groups differ than are wanted.
JOINED = " + "
JOIN_FIRST = (
    (LOAD, MASS),
    (FRICTION, "springs"),
    (UNSPRUNG, MASS),
    (CROSS_LINK, BAR),
    (AUXILIARY, BAR),
    (STOPS, GEOMETRY),
    ("spring base", "springs"),
    (RIDE_HEIGHT, GEOMETRY),
    (DRIVE, GEOMETRY),
)
_KNOWN = {quantity.name: quantity for quantity in QUANTITIES}


class GroupError(ArticulateError, ValueError):
    """A grouping that cannot be made; the text says what would work."""


@dataclass(frozen=True)
class Group:
    """Quantities that change together from one vehicle to the other."""

    name: str
    columns: tuple[tuple[str, int], ...]  # quantity and column


def _unread(first: Parts, second: Parts) -> dict[str, NDArray[np.bool_]]:
    """Columns that neither vehicle reads."""
    solid = (first["solid"][0] > 0.5, second["solid"][0] > 0.5)
    independent = ~solid[0] & ~solid[1]
    no_load = (first["load_mass"][0] == 0.0) & (second["load_mass"][0] == 0.0)
    no_bar = (first["bar"][0] == 0.0) & (second["bar"][0] == 0.0)
    return {
        **dict.fromkeys(BASES, independent),
        **dict.fromkeys(("load_behind", "load_left", "load_height"), no_load),
        "swing_arm": solid[0] & solid[1],
        "friction_stiffness": (first["friction_force"][0] == 0.0) & (second["friction_force"][0] == 0.0),
        "bar_releasable": no_bar,
    }


def _differ(first: Parts, second: Parts) -> list[tuple[str, int]]:
    unread = _unread(first, second)
    found = []
    for name, before in first.items():
        after = second[name][0]
        scale = np.maximum(np.maximum(np.abs(before[0]), np.abs(after)), 1e-30)
        different = ~(np.abs(after - before[0]) <= SAME * scale) & (after != before[0])
        if name in ("sprung_left", "load_left", "ride_height_change", "pivot_height", "sprung_height", "load_height"):
            different &= np.abs(after - before[0]) > SAME  # they may be nothing but rounding
        if name in unread:
            different &= ~unread[name]
        found += [(name, int(column)) for column in np.flatnonzero(different)]
    return found


def differing_groups(
    first: Parts,
    second: Parts,
    by_axle: bool = False,
    together: Sequence[Sequence[str]] = (),
    most: int = 12,
) -> tuple[Group, ...]:
    """The groups in which two vehicles differ, at most so many.

    Args:
        first: quantities of one vehicle, a batch of one.
        second: of the other.
        by_axle: front and rear as groups of their own where a quantity has both.
        together: names of groups that are to change as one.
        most: groups; where more differ, those of `JOIN_FIRST` are joined.

    Raises:
        GroupError: a name in `together` that is no group here, or still too many groups.
    """
    differ = _differ(first, second)
    kind_differs = first["solid"][0] != second["solid"][0]
    members: dict[str, list[tuple[str, int]]] = {}
    loads = [name for name, _ in differ if _KNOWN.get(name) and _KNOWN[name].group == LOAD]
    for name, column in differ:
        known = _KNOWN.get(name)
        group = known.group if known else name.replace("_", " ")
        per_axle = known is not None and known.columns == 2
        if name in (*BASES, "spring_loose") and kind_differs[column]:
            group = GEOMETRY  # bases and seats belong to the kind of suspension that has them
        if loads == ["load_height"] and ("wheelbase", 0) in differ:
            # The wheel line slopes a little, so a load that stays put has another height over it by the wheelbase.
            group = "wheelbase" if name == "load_height" else group
        if by_axle and per_axle:
            group = f"{AXLES[column]} {group}"
        members.setdefault(group, []).append((name, column))
    for names in together:
        for name in names:
            if name not in members:
                close = nearest(name, members)
                raise GroupError(
                    f"{name}: the vehicles do not differ in it, or it is no group; "
                    + (f"write {close}" if close else f"they differ in {', '.join(members)}")
                )
        _join(members, names)
    for smaller, larger in JOIN_FIRST:
        if len(members) > most:
            # A group may be a joined one by now, or the front or rear one of its kind.
            mine = [name for name in members if any(part.endswith((smaller, larger)) for part in name.split(JOINED))]
            _join(members, mine)
    if len(members) > most:
        raise GroupError(
            f"the vehicles differ in {len(members)} groups and at most {most} are taken apart exactly; "
            "leave front and rear together, or say which groups belong together"
        )
    return tuple(Group(name, tuple(columns)) for name, columns in members.items())


def _join(members: dict[str, list[tuple[str, int]]], names: Sequence[str]) -> None:
    names = tuple(dict.fromkeys(names))  # a name said twice is one
    if len(names) > 1:
        joined = [column for name in names for column in members.pop(name)]
        members[JOINED.join(names)] = joined
