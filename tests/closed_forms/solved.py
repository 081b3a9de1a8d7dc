"""The reference's vehicles as the solver takes them, and what their errors must do in a limit."""

from dataclasses import replace

import numpy as np

from articulate.climb import Outcome, climb_to_unload
from articulate.constants import STANDARD_GRAVITY
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import FRICTION_STIFFNESS, Vehicles, stack
from tests.closed_forms.finite_angle import Axle, Vehicle
from tests.closed_forms.reference_cases import of_axles, roll_of

FAR = 10.0  # [m], a gap that no travel reaches
HALVINGS = np.array([1.0, 0.5, 0.25])


def modelled(vehicle: Vehicle, offset: float = 0.0) -> Vehicles:
    """The reference's vehicle as the solver takes it; offset [m] of the sprung weight to the left."""

    def axles(name):
        return of_axles(vehicle, name)[None]

    def reachable(name):
        return np.minimum(axles(name), FAR)

    none = np.zeros(1)
    return Vehicles(
        wheelbase=np.array([vehicle.wheelbase]),
        track=axles("track"),
        unsprung_mass=axles("unsprung_weight") / STANDARD_GRAVITY,
        sprung_mass=np.array([vehicle.sprung_weight / STANDARD_GRAVITY]),
        sprung_centre=np.array([[vehicle.behind, offset, vehicle.height]]),
        load_mass=none,
        load_centre=np.zeros((1, 3)),
        tyre_radius=axles("radius"),
        tyre_stiffness=axles("tyre_rate"),
        tyre_section_radius=axles("section"),
        solid=axles("solid"),
        swing_arm=axles("arm"),
        pivot_height=axles("pivot"),
        spring_rate=axles("rate"),
        spring_half_base=axles("spring_half_base"),
        spring_loose=np.zeros((1, 2), dtype=bool),
        bump_gap=reachable("bump_gap"),
        bump_rate=axles("bump_rate"),
        bump_rate_cubic=np.zeros((1, 2)),
        bump_half_base=axles("bump_half_base"),
        droop_gap=reachable("droop_gap"),
        droop_rate=axles("droop_rate"),
        droop_half_base=axles("droop_half_base"),
        bar_rate=axles("bar"),
        bar_releasable=np.zeros((1, 2), dtype=bool),
        cross_link_rate=none,
        frame_compliance=none,
        friction_force=np.zeros((1, 2)),
        friction_stiffness=np.full((1, 2), FRICTION_STIFFNESS),
    )


def batch(vehicles):
    return stack([modelled(vehicle) for vehicle in vehicles])


def wheel_lifts(vehicles, degrees, share=0.5):
    """Climbs of a batch that all end with a wheel lifting."""
    run = climb_to_unload(batch(vehicles), ramp_test(len(vehicles), np.radians(degrees), share))
    assert (run.outcome == Outcome.WHEEL_LIFTS).all()
    return run


def assert_order(errors, order, tolerance):
    """Errors fall by two to the order each time the small quantity is halved."""
    errors = np.abs(np.asarray(errors))
    np.testing.assert_allclose(errors[:-1] / errors[1:], 2.0**order, rtol=tolerance)


def plate(solid, stiffness):
    """Two equal axles, light wheels, and the height of the weight at which it does not overturn."""
    axle = Axle(
        track=1.6, unsprung_weight=2.0, tyre_rate=250e3, solid=solid, arm=1e3, pivot=0.0, rate=40e3,
        spring_half_base=0.8, bar=0.0,
    )  # fmt: skip
    vehicle = Vehicle(axles=(axle, axle), behind=1.4, height=0.0).stiffened(stiffness)
    overturning = float(roll_of(vehicle).overturning.sum())
    return replace(vehicle, height=-overturning / vehicle.sprung_weight)
