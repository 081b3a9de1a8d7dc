"""Random vehicles and ramp tests of wide but physical ranges, for invariants and robustness counts.

Not a fleet of real vehicles: the ranges are common practice of four-wheel-drive vehicles, no source, and stretched
until they cover what a person could plausibly put into a file. What hangs together physically is drawn
together: wheel rates follow from a ride frequency and the sprung mass on the axle, half bases from the track.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from articulate.model.ramp_test import RampTest, ramp_test
from articulate.model.vehicles import FRICTION_STIFFNESS, Vehicles

Array = NDArray[np.float64]


def random_vehicles(seed: int, lanes: int) -> Vehicles:
    """A batch of `lanes` vehicles; the same seed and size give the same batch."""
    rng = np.random.default_rng([seed, 1])

    def uniform(low: float, high: float, *last: int) -> Array:
        return rng.uniform(low, high, (lanes, *last))

    def often_zero(low: float, high: float, share: float, *last: int) -> Array:
        return np.where(rng.random((lanes, *last)) < share, 0.0, rng.uniform(low, high, (lanes, *last)))

    solid = rng.random((lanes, 2)) < np.array([0.5, 0.7])
    wheelbase = uniform(2.0, 3.6)
    track = np.clip(wheelbase * uniform(0.5, 0.66), 1.25, 1.8)[:, None] + uniform(-0.03, 0.03, 2)
    sprung_mass = 900.0 * (wheelbase / 2.2) ** 1.5 * uniform(0.8, 1.7)
    rear_share = uniform(0.36, 0.6)
    corner_mass = sprung_mass[:, None] * np.stack([1.0 - rear_share, rear_share], axis=1) / 2.0
    centre = np.stack([wheelbase * rear_share, often_zero(-0.06, 0.06, 0.4), uniform(0.55, 1.0)], axis=1)
    load_place = np.stack([wheelbase * uniform(0.2, 1.15), uniform(-0.45, 0.45), uniform(0.6, 1.3)], axis=1)
    tyre_radius = uniform(0.33, 0.5)[:, None] + np.where(rng.random((lanes, 1)) < 0.8, 0.0, uniform(-0.03, 0.03, 2))
    frequency = uniform(0.9, 2.2, 2)  # [Hz], of the sprung mass on the springs of its axle
    twisting = rng.random(lanes) < 0.6
    # Drawn apart, so that what was drawn before there was any stays as it was. Up to a twist beam's two times a spring.
    second = np.random.default_rng([seed, 3])
    auxiliary = np.where(second.random((lanes, 2)) < 0.4, 0.0, second.uniform(0.5e3, 60e3, (lanes, 2)))
    binds = second.random((lanes, 2)) < 0.4  # rubber that hardens, from the twist [m] where the cubic part is as large
    frame_rate = np.degrees(np.exp(rng.uniform(np.log(1.5e3), np.log(30e3), lanes)))  # [N m/rad]
    vehicles = Vehicles(
        wheelbase=wheelbase,
        track=track,
        unsprung_mass=np.where(solid, uniform(110.0, 280.0, 2), uniform(60.0, 140.0, 2)),
        sprung_mass=sprung_mass,
        sprung_centre=centre,
        load_mass=often_zero(20.0, 500.0, 0.5),
        load_centre=load_place,
        tyre_radius=tyre_radius,
        tyre_stiffness=uniform(1.4e5, 3.6e5, 2),
        tyre_section_radius=tyre_radius * uniform(0.25, 0.4)[:, None],
        solid=solid,
        swing_arm=uniform(0.4, 2.5, 2),
        pivot_height=np.where(solid, uniform(-0.1, 0.25, 2), uniform(-0.1, 0.15, 2)),
        spring_rate=corner_mass * (2.0 * np.pi * frequency) ** 2,
        spring_half_base=track * uniform(0.25, 0.42, 2),
        spring_loose=rng.random((lanes, 2)) < 0.6,
        bump_gap=uniform(0.02, 0.25, 2),
        bump_rate=uniform(2e4, 3e5, 2),
        bump_rate_cubic=often_zero(0.0, 5e7, 0.3, 2),
        bump_half_base=track * uniform(0.22, 0.42, 2),
        droop_gap=uniform(0.02, 0.25, 2),
        droop_rate=uniform(1e5, 6e5, 2),
        droop_half_base=track * uniform(0.25, 0.45, 2),
        bar_rate=often_zero(0.0, 60e3, 0.35, 2),
        bar_releasable=rng.random((lanes, 2)) < 0.5,
        cross_link_rate=often_zero(1e3, 40e3, 0.85),
        frame_compliance=np.where(twisting, 1.0 / frame_rate, 0.0),
        friction_force=np.zeros((lanes, 2)),
        friction_stiffness=np.full((lanes, 2), FRICTION_STIFFNESS),
        auxiliary_rate=auxiliary,
        auxiliary_rate_cubic=auxiliary * np.where(binds, 1.0 / second.uniform(0.08, 0.5, (lanes, 2)) ** 2, 0.0),
    )
    # Air springs that share their air, on one axle in eight of those whose bar and rubber still hold the body upright.
    linked = np.random.default_rng([seed, 9]).random((lanes, 2)) < 0.125
    return replace(vehicles, spring_linked=linked & (vehicles.bar_rate + auxiliary > 12e3))


def random_tests(seed: int, lanes: int) -> RampTest:
    """Ramps of 5 to 35 degrees, every share of holding, touch loads of 0 to 50 N."""
    rng = np.random.default_rng([seed, 2])
    return ramp_test(
        lanes,
        angle=np.radians(rng.uniform(5.0, 35.0, lanes)),
        holding_share=np.clip(rng.uniform(-0.2, 1.2, lanes), 0.0, 1.0),  # the ends 0 and 1 are met exactly
        touch_load=np.where(rng.random(lanes) < 0.5, 0.0, rng.uniform(0.0, 50.0, lanes)),
    )
