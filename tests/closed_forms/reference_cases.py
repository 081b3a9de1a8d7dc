"""Vehicles of the finite-angle reference, and the closed forms' arguments taken from them."""

from __future__ import annotations

import numpy as np

from articulate.closed_forms import roll_stiffness, small_angle, travel_limit
from tests.closed_forms.finite_angle import Axle, Vehicle

INDEPENDENT = Axle()
HIGH_PIVOT = Axle(
    track=1.55, radius=0.38, section=0.12, arm=0.5, pivot=0.06, rate=45e3, bar=3e3, tyre_rate=220e3,
    unsprung_weight=1800.0,
)  # fmt: skip
SOLID = Axle(track=1.62, solid=True, pivot=0.1, rate=35e3, spring_half_base=0.45, unsprung_weight=2600.0, bar=5e3)
LEAF = Axle(
    track=1.58, solid=True, pivot=-0.07, rate=50e3, spring_half_base=0.52, unsprung_weight=2900.0, bar=0.0,
    radius=0.42,
)  # fmt: skip

PAIRS = {
    "independent-independent": (INDEPENDENT, HIGH_PIVOT),
    "independent-solid": (HIGH_PIVOT, LEAF),
    "solid-solid": (SOLID, LEAF),
    "solid-independent": (SOLID, INDEPENDENT),
}


def of_axles(vehicle: Vehicle, name: str) -> np.ndarray:
    return np.array([getattr(axle, name) for axle in vehicle.axles])


def roll_of(vehicle: Vehicle) -> roll_stiffness.AxleRoll:
    return roll_stiffness.axle_roll(
        track=of_axles(vehicle, "track"),
        axle_load=vehicle.loads,
        unsprung_weight=of_axles(vehicle, "unsprung_weight"),
        centre_height=vehicle.height,
        tyre_radius=of_axles(vehicle, "radius"),
        tyre_section_radius=of_axles(vehicle, "section"),
        tyre_stiffness=of_axles(vehicle, "tyre_rate"),
        solid=of_axles(vehicle, "solid"),
        swing_arm=of_axles(vehicle, "arm"),
        pivot_height=of_axles(vehicle, "pivot"),
        spring_rate=of_axles(vehicle, "rate"),
        spring_half_base=of_axles(vehicle, "spring_half_base"),
        bar_rate=of_axles(vehicle, "bar"),
    )


def load_rates_of(
    vehicle: Vehicle, holding_share: float, roll: roll_stiffness.AxleRoll | None = None
) -> small_angle.LoadRates:
    ride = small_angle.axle_ride_rate(
        axle_load=vehicle.loads,
        tyre_radius=of_axles(vehicle, "radius"),
        tyre_section_radius=of_axles(vehicle, "section"),
        tyre_stiffness=of_axles(vehicle, "tyre_rate"),
        solid=of_axles(vehicle, "solid"),
        swing_arm=of_axles(vehicle, "arm"),
        spring_rate=of_axles(vehicle, "rate"),
    )
    return small_angle.load_rates(
        wheelbase=vehicle.wheelbase,
        track=of_axles(vehicle, "track"),
        axle_load=vehicle.loads,
        unsprung_weight=of_axles(vehicle, "unsprung_weight"),
        centre_height=vehicle.height,
        tyre_radius=of_axles(vehicle, "radius"),
        tyre_stiffness=of_axles(vehicle, "tyre_rate"),
        ride_rate=ride,
        holding_share=holding_share,
        roll=roll_of(vehicle) if roll is None else roll,
    )


def rigid_limit_of(vehicle: Vehicle, ramp_angle: float) -> travel_limit.TravelLimit:
    return travel_limit.rigid_limit(
        wheelbase=vehicle.wheelbase,
        track=of_axles(vehicle, "track"),
        tyre_radius=of_axles(vehicle, "radius"),
        tyre_section_radius=of_axles(vehicle, "section"),
        solid=of_axles(vehicle, "solid"),
        swing_arm=of_axles(vehicle, "arm"),
        pivot_height=of_axles(vehicle, "pivot"),
        bump_gap=of_axles(vehicle, "bump_gap"),
        bump_half_base=of_axles(vehicle, "bump_half_base"),
        droop_gap=of_axles(vehicle, "droop_gap"),
        droop_half_base=of_axles(vehicle, "droop_half_base"),
        ramp_angle=ramp_angle,
    )
