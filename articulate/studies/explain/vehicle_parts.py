"""A vehicle taken apart into the quantities a person would name, so that two vehicles can be mixed.

The model's arrays are coupled where one thing carries another: the body stands on its tyres, a lift moves gaps and
weight together, a bar on a solid axle is a couple and not a rate at the wheels. Here each quantity is written so that
changing it alone is something a workshop could do:

    place of the sprung mass   share of its weight on the rear axle; height over the line through the wheel centres as
                               they stand at ride height, less the ride height change: tyres and lifts carry the body
    bump and droop gap         as they were before the ride height change
    anti-roll bar, auxiliary   at the wheels on independent suspension [N/m], as a couple on a solid axle [N m/rad]

`take_apart` and `put_together` undo each other to rounding.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.model.vehicles import Vehicles
from articulate.spec import VehicleSpec, build
from articulate.spec.build import nominal_ride_height_changes
from articulate.spec.build_axle import direct_inputs
from articulate.spec.key_lookup import entry_of, place_of
from articulate.spec.quantities import read_quantity

Array = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Parts = Mapping[str, Array]  # quantity name -> (lanes, columns)


@dataclass(frozen=True)
class PartQuantity:
    """One quantity: where it belongs, and how a person reads it (the SI value over `unit_size`, in `unit`)."""

    name: str
    group: str
    words: str
    unit: str
    unit_size: float
    columns: int = 1  # 2: one an axle, 4: one a wheel
    digits: int = 0  # after the point


MASS, LOAD, UNSPRUNG = "mass and its place", "passengers and cargo", "wheel and axle mass"
BAR, AUXILIARY, CROSS_LINK = "anti-roll bar", "auxiliary roll stiffness", "cross-linked bars"
STOPS, GEOMETRY, FRAME, RIDE_HEIGHT = "stop stiffness", "suspension geometry", "frame", "ride height"
FRICTION, DRIVE = "suspension friction", "drive"
NEWTON_PER_MM = 1e3
HALF_MM = 0.5e-3  # half a spacing [m], read as the spacing in mm
NEWTON_METRE_PER_DEGREE = float(np.degrees(1.0))  # [N m/rad]

_NAMED = (
    PartQuantity("wheelbase", "wheelbase", "", "mm", 1e-3),
    PartQuantity("track", "track", "", "mm", 1e-3, 2),
    PartQuantity("sprung_mass", MASS, "sprung mass", "kg", 1.0),
    PartQuantity("sprung_rear_share", MASS, "share on the rear", "%", 1e-2, digits=1),
    PartQuantity("sprung_left", MASS, "left of centre", "mm", 1e-3),
    PartQuantity("sprung_height", MASS, "height over the wheel centres", "mm", 1e-3),
    PartQuantity("load_mass", LOAD, "mass", "kg", 1.0),
    PartQuantity("load_behind", LOAD, "behind the front axle", "mm", 1e-3),
    PartQuantity("load_left", LOAD, "left of centre", "mm", 1e-3),
    PartQuantity("load_height", LOAD, "height over the wheel centres", "mm", 1e-3),
    PartQuantity("unsprung_mass", UNSPRUNG, "", "kg", 1.0, 2),
    PartQuantity("spring_rate", "springs", "", "N/mm", NEWTON_PER_MM, 2, 1),
    PartQuantity("spring_loose", "springs", "loose seat", "", 1.0, 2),
    PartQuantity("spring_linked", "springs", "linked left to right", "", 1.0, 2),
    PartQuantity("spring_rise_at", "springs", "rate rises at", "mm", 1e-3, 2),
    PartQuantity("spring_rate_factor", "springs", "risen over rate", "", 1.0, 2, 2),
    PartQuantity("spring_drop", "springs", "sag", "mm", 1e-3, 4),
    PartQuantity("spring_half_base", "spring base", "spacing", "mm", HALF_MM, 2),
    PartQuantity("bar", BAR, "", "N/mm", NEWTON_PER_MM, 2, 1),
    PartQuantity("bar_releasable", BAR, "can be released", "", 1.0, 2),
    PartQuantity("auxiliary", AUXILIARY, "", "N/mm", NEWTON_PER_MM, 2, 1),
    PartQuantity("auxiliary_cubic", AUXILIARY, "cubic", "N/mm^3", 1e9, 2, 6),
    PartQuantity("cross_link_rate", CROSS_LINK, "", "N/mm", NEWTON_PER_MM, digits=1),
    PartQuantity("bump_gap", "bump travel", "", "mm", 1e-3, 2),
    PartQuantity("droop_gap", "droop travel", "", "mm", 1e-3, 2),
    PartQuantity("bump_rate", STOPS, "bump stop", "N/mm", NEWTON_PER_MM, 2, 1),
    PartQuantity("bump_rate_cubic", STOPS, "bump stop, cubic", "N/mm^3", 1e9, 2, 4),
    PartQuantity("bump_half_base", STOPS, "bump stop spacing", "mm", HALF_MM, 2),
    PartQuantity("droop_rate", STOPS, "droop stop", "N/mm", NEWTON_PER_MM, 2, 1),
    PartQuantity("droop_half_base", STOPS, "droop stop spacing", "mm", HALF_MM, 2),
    PartQuantity("tyre_radius", "tyre radius", "", "mm", 1e-3, 2),
    PartQuantity("tyre_section_radius", "tyre radius", "section radius", "mm", 1e-3, 2),
    PartQuantity("tyre_stiffness", "tyre stiffness", "", "N/mm", NEWTON_PER_MM, 2),
    PartQuantity("tyre_share", "tyre stiffness", "share of one tyre in it", "", 1.0, 4, 2),
    PartQuantity("solid", GEOMETRY, "solid axle", "", 1.0, 2),
    PartQuantity("swing_arm", GEOMETRY, "swing arm", "mm", 1e-3, 2),
    PartQuantity("pivot_height", GEOMETRY, "pivot or roll centre over the hub", "mm", 1e-3, 2),
    PartQuantity("frame_compliance", FRAME, "", "kN m/deg", float(np.radians(1.0)) / 1e3, digits=1),
    PartQuantity("friction_force", FRICTION, "", "N", 1.0, 2),
    PartQuantity("friction_stiffness", FRICTION, "stiffness while it holds", "N/mm", NEWTON_PER_MM, 2),
    PartQuantity("drive_known", DRIVE, "known", "", 1.0),
    PartQuantity("front_drive_share", DRIVE, "share to the front", "%", 1e-2),
    PartQuantity("centre_locked", DRIVE, "centre locked", "", 1.0),
    PartQuantity("torque_ratio", DRIVE, "differential", "", 1.0, 2, 2),
    PartQuantity("ride_height_change", RIDE_HEIGHT, "", "mm", 1e-3, 2),
)


def _named_by_keys() -> Iterator[PartQuantity]:
    """Arrays that are a key of an axle as it is, but for those above: in the key's words, read as its example is."""
    named = {quantity.name for quantity in _NAMED}
    for key, (array, _) in direct_inputs().items():
        entry, place = entry_of(f"front.{key}"), place_of(f"front.{key}")
        assert entry is not None
        assert place is not None
        if array not in named:
            table, words = place[0].words, place[1].replace("_", " ")
            like = read_quantity(entry.example, entry.dimension)
            digits = len(entry.example.split()[0].partition(".")[2])
            yield PartQuantity(array, table or words, entry.words or words, like.unit, like.unit_size, 2, digits)


QUANTITIES = (*_NAMED, *_named_by_keys())
# Rates against opposite travel, each with its array in the model and the power of the track that makes it a couple.
COUPLES = {"bar": ("bar_rate", 2), "auxiliary": ("auxiliary_rate", 2), "auxiliary_cubic": ("auxiliary_rate_cubic", 4)}
# Arrays of the model that are written otherwise here.
_DERIVED = ("sprung_centre", "load_centre", *(array for array, _ in COUPLES.values()))
BASES = ("spring_half_base", "bump_half_base", "droop_half_base")
_COVERED = {quantity.name for quantity in QUANTITIES} | set(_DERIVED)


def _others() -> tuple[PartQuantity, ...]:
    """Arrays of the model that have no name of their own here: mixed as they are."""
    return tuple(
        PartQuantity(field.name, field.name.replace("_", " "), "", "", 1.0)
        for field in fields(Vehicles)
        if field.name not in _COVERED
    )


@dataclass(frozen=True, eq=False, repr=False)
class StudiedVehicle(Brief):
    """A vehicle that is asked about: its name, its arrays (a batch of one), and how far its body was lifted."""

    name: str
    vehicle: Vehicles
    ride_height_change: Array  # (1, 2) [m]

    @staticmethod
    def of(spec: VehicleSpec) -> StudiedVehicle:
        """The nominal vehicle of a file.

        Raises:
            UnphysicalError: as `build`.
        """
        return StudiedVehicle(spec.name, build(spec), np.array([nominal_ride_height_changes(spec)]))


def _wheel_line(rear_share: Array, hub_height: Array, ride_height_change: Array) -> Array:
    """Height over ground that wheels and lift give a point of the body, at a share of the wheelbase [m]."""
    axle = hub_height + ride_height_change
    return axle[:, 0] * (1.0 - rear_share) + axle[:, 1] * rear_share


def take_apart(vehicles: Vehicles, ride_height_change: Array) -> dict[str, Array]:
    """The quantities of each lane, (lanes, columns) by name.

    ride_height_change: (lanes, 2) [m], contained in the arrays.
    """
    v, change = vehicles, ride_height_change
    share = v.sprung_centre[:, 0] / v.wheelbase
    load_share = v.load_centre[:, 0] / v.wheelbase
    hub = v.reference_hub_height()
    parts = {
        quantity.name: getattr(v, quantity.name).reshape(v.lanes, -1)
        for quantity in (*QUANTITIES, *_others())
        if hasattr(v, quantity.name)
    }
    parts.update(
        sprung_rear_share=share[:, None],
        sprung_left=v.sprung_centre[:, 1:2],
        sprung_height=(v.sprung_centre[:, 2] - _wheel_line(share, hub, change))[:, None],
        load_behind=v.load_centre[:, 0:1],
        load_left=v.load_centre[:, 1:2],
        load_height=(v.load_centre[:, 2] - _wheel_line(load_share, hub, change))[:, None],
        **{
            name: getattr(v, array) * np.where(v.solid, v.track**power, 1.0) for name, (array, power) in COUPLES.items()
        },
        bump_gap=v.bump_gap - change,
        droop_gap=v.droop_gap + change,
        pivot_height=np.where(v.solid, v.pivot_height, v.pivot_height - change),
        ride_height_change=change,
    )
    return {name: np.array(values, dtype=np.float64) for name, values in parts.items()}


def put_together(parts: Parts, like: Vehicles, as_couple: Mapping[str, BoolArray] | None = None) -> Vehicles:
    """The vehicles of the quantities.

    Args:
        parts: quantities by name, (lanes, columns).
        like: any vehicles, for the shape and type of each array.
        as_couple: (lanes, 2) for each of `COUPLES`, whether it was described as a couple; as each axle is if None.

    Returns:
        The vehicles; a gap that came out negative is left so, for `impossible` to find.
    """
    p, change = parts, parts["ride_height_change"]
    solid = p["solid"] > 0.5
    couple = as_couple if as_couple is not None else dict.fromkeys(COUPLES, solid)
    wheelbase, share = p["wheelbase"][:, 0], p["sprung_rear_share"][:, 0]
    load_behind = p["load_behind"][:, 0]
    arrays = {name: values for name, values in parts.items() if hasattr(like, name)}
    arrays.update(
        sprung_centre=np.stack([share * wheelbase, p["sprung_left"][:, 0], p["sprung_height"][:, 0]], axis=1),
        load_centre=np.stack([load_behind, p["load_left"][:, 0], p["load_height"][:, 0]], axis=1),
        **{
            array: p[name] / np.where(couple[name], p["track"] ** power, 1.0)
            for name, (array, power) in COUPLES.items()
        },
        bump_gap=p["bump_gap"] + change,
        droop_gap=p["droop_gap"] - change,
        pivot_height=np.where(solid, p["pivot_height"], p["pivot_height"] + change),
    )
    lanes = wheelbase.shape[0]
    vehicles = Vehicles(
        **{field.name: _as(arrays[field.name], getattr(like, field.name), lanes) for field in fields(Vehicles)}
    )
    hub = vehicles.reference_hub_height()
    vehicles.sprung_centre[:, 2] += _wheel_line(share, hub, change)
    vehicles.load_centre[:, 2] += _wheel_line(load_behind / wheelbase, hub, change)
    return vehicles


def _as(values: Array, like: NDArray[Any], lanes: int) -> NDArray[Any]:
    """Values in the shape and type of another array, apart from its lanes."""
    shaped = values.reshape(lanes, *like.shape[1:])
    return shaped > 0.5 if like.dtype == np.bool_ else shaped


def impossible(vehicles: Vehicles) -> BoolArray:
    """Lanes of a mixture that no vehicle can be: a gap below nothing, a tyre section larger than its tyre, (lanes,)."""
    return np.asarray(
        (vehicles.bump_gap < 0.0).any(axis=1)
        | (vehicles.droop_gap < 0.0).any(axis=1)
        | (vehicles.tyre_section_radius >= vehicles.tyre_radius).any(axis=1)
    )
