"""A plain finite-angle equilibrium of one vehicle with its front-left wheel on the ramp.

It exists to hold the closed forms to something that makes none of their approximations: exact rotations, torus
tyres, carriers that turn about their pivots, generalised forces by complex-step derivatives of positions, and
scipy's root finder. It knows nothing of the package, and it is only meant for wheels that keep to their plane.
Contacts and the stops of the warp are taken as holding both ways, which leaves the equations smooth: the caller
checks that no load and no stop force of the answer pulls.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import root

WHEELS = ((0, 1), (0, -1), (1, 1), (1, -1))  # axle, side: front-left, front-right, rear-left, rear-right


@dataclass(frozen=True)
class Axle:
    track: float = 1.6
    unsprung_weight: float = 1500.0
    radius: float = 0.4
    section: float = 0.13
    tyre_rate: float = 250e3
    solid: bool = False
    arm: float = 0.6
    pivot: float = -0.05
    rate: float = 40e3
    spring_half_base: float = 0.5
    bar: float = 8e3
    bump_gap: float = np.inf
    bump_rate: float = 0.0
    bump_half_base: float = 0.4
    droop_gap: float = np.inf
    droop_rate: float = 0.0
    droop_half_base: float = 0.45


@dataclass(frozen=True)
class Vehicle:
    wheelbase: float = 2.8
    sprung_weight: float = 18e3
    behind: float = 1.35
    height: float = 0.75
    axles: tuple[Axle, Axle] = field(default_factory=lambda: (Axle(), Axle()))

    @property
    def loads(self):
        """Axle loads at ride height [N]."""
        rear = self.sprung_weight * self.behind / self.wheelbase
        sprung = (self.sprung_weight - rear, rear)
        return np.array([load + axle.unsprung_weight for load, axle in zip(sprung, self.axles, strict=True)])

    @property
    def hub_heights(self):
        return np.array([a.radius - n / (2 * a.tyre_rate) for n, a in zip(self.loads, self.axles, strict=True)])

    def stiffened(self, factor):
        """The same vehicle with springs, bars and tyres `factor` times as stiff."""
        return replace(
            self,
            axles=tuple(
                replace(a, rate=a.rate * factor, bar=a.bar * factor, tyre_rate=a.tyre_rate * factor) for a in self.axles
            ),
        )


def carrier(axle, side, first, second):
    """Hub against its place at ride height (outward-left y, z) and lean against the body."""
    if axle.solid:
        y = side * axle.track / 2 * np.cos(second) + axle.pivot * np.sin(second)
        z = first + axle.pivot * (1 - np.cos(second)) + side * axle.track / 2 * np.sin(second)
        return y, z, second
    angle = first if side > 0 else second
    out = axle.track / 2 + axle.pivot * np.sin(angle) + axle.arm * (np.cos(angle) - 1)
    return side * out, axle.arm * np.sin(angle) + axle.pivot * (1 - np.cos(angle)), side * angle


def _attachment(axle, side, half_base, first, second):
    if axle.solid:
        return first + side * half_base * np.sin(second) + axle.pivot * (1 - np.cos(second))
    return carrier(axle, side, first, second)[1]


def _rotated(pitch, roll, x, y, z):
    across, up = y * np.cos(roll) - z * np.sin(roll), y * np.sin(roll) + z * np.cos(roll)
    return np.array([x * np.cos(pitch) + up * np.sin(pitch), across, -x * np.sin(pitch) + up * np.cos(pitch)])


@dataclass
class State:
    loads: np.ndarray
    residual: np.ndarray
    contacts: np.ndarray
    hubs: np.ndarray
    centre: np.ndarray
    stops: np.ndarray  # bump and droop stop force of each axle


def evaluate(vehicle, ramp_angle, share, climb, unknowns, on_stops=False):
    """Residual of the seven equilibria (force in N, moments in N m) and the state that gives it."""
    height, pitch, roll, *susp = unknowns
    susp = np.asarray(susp).reshape(2, 2)
    slope = np.array([np.cos(ramp_angle), 0.0, np.sin(ramp_angle)])
    hub_heights = vehicle.hub_heights

    def place(i, coords, local=(0.0, 0.0)):
        """Point of wheel i's carrier at local (y, z) from the hub, body origin at (0, 0, height)."""
        a, side = WHEELS[i]
        y, z, lean = carrier(vehicle.axles[a], side, *coords)
        c, s = np.cos(lean), np.sin(lean)
        y = y + c * local[0] - s * local[1]
        z = z + hub_heights[a] + s * local[0] + c * local[1]
        return _rotated(pitch, roll, -vehicle.wheelbase * a, y, z) + np.array([0, 0, height])

    hubs = np.array([place(i, susp[WHEELS[i][0]]) for i in range(4)])
    # Body x: the climbing hub's slope coordinate is the climb.
    shift = np.array([(climb - hubs[0] @ slope) / slope[0], 0.0, 0.0])
    hubs = hubs + shift
    force_z = moment_x = moment_y = 0.0
    general = np.zeros((2, 2))
    loads, contacts = np.zeros(4), np.zeros((4, 3))
    for i, (a, side) in enumerate(WHEELS):
        axle, coords = vehicle.axles[a], susp[a]
        lean = carrier(axle, side, *coords)[2]
        angle = ramp_angle if i == 0 else 0.0
        normal = np.array([-np.sin(angle), 0.0, np.cos(angle)])
        direction = _rotated(pitch, roll, 0.0, np.cos(lean), np.sin(lean))
        e = normal - (normal @ direction) * direction
        e /= np.linalg.norm(e)
        p = hubs[i] - (axle.radius - axle.section) * e - axle.section * normal
        load = axle.tyre_rate * -(normal @ p)
        force = load * normal + share * load * np.tan(angle) * np.array([np.cos(angle), 0.0, np.sin(angle)])
        loads[i], contacts[i] = load, p
        own = -axle.unsprung_weight / 2
        force_z += force[2] + own
        moment_x += p[1] * force[2] + hubs[i][1] * own
        moment_y += p[2] * force[0] - p[0] * force[2] - hubs[i][0] * own
        # Virtual work on the carrier's coordinates: the contact is a point of the carrier; in its frame.
        offset = p - hubs[i]
        for j in range(2):
            step = coords.astype(complex)
            step[j] += 1e-30j
            hub_rate = place(i, step).imag / 1e-30
            lean_rate = np.imag(carrier(axle, side, *step)[2]) / 1e-30
            axis = np.array([np.cos(pitch), 0.0, -np.sin(pitch)])
            contact_rate = hub_rate + lean_rate * np.cross(axis, offset)
            general[a, j] += force @ contact_rate + own * hub_rate[2]
    preload = (vehicle.loads - [a.unsprung_weight for a in vehicle.axles]) / 2
    stops = np.zeros((2, 2))
    for a, axle in enumerate(vehicle.axles):
        for j in range(2):
            step = susp[a].astype(complex)
            step[j] += 1e-30j
            travels = []
            for side in (1, -1):
                u = _attachment(axle, side, axle.spring_half_base, *step)
                general[a, j] -= (preload[a] + axle.rate * u.real) * u.imag / 1e-30
                u = _attachment(axle, side, axle.bump_half_base, *step)
                if on_stops and side == (1, -1)[a]:
                    stops[a, 0] = axle.bump_rate * (u.real - axle.bump_gap)
                    general[a, j] -= stops[a, 0] * u.imag / 1e-30
                u = _attachment(axle, side, axle.droop_half_base, *step)
                if on_stops and side == (-1, 1)[a]:
                    stops[a, 1] = axle.droop_rate * (-u.real - axle.droop_gap)
                    general[a, j] += stops[a, 1] * u.imag / 1e-30
                travels.append(_attachment(axle, side, axle.track / 2, *step))
            twist = travels[0] - travels[1]
            general[a, j] -= axle.bar * twist.real * twist.imag / 1e-30
    centre = _rotated(pitch, roll, -vehicle.behind, 0.0, vehicle.height) + shift + np.array([0, 0, height])
    force_z -= vehicle.sprung_weight
    moment_x -= vehicle.sprung_weight * centre[1]
    moment_y += vehicle.sprung_weight * centre[0]
    residual = np.array([force_z, moment_x, moment_y, *general.ravel()])
    weights = [a.unsprung_weight / 2 for a in vehicle.axles for _ in (1, -1)]
    whole = (vehicle.sprung_weight * centre + np.array(weights) @ hubs) / (vehicle.sprung_weight + sum(weights))
    return State(loads, residual, contacts, hubs, whole, stops)


def _solve(function, start, scale, tolerance):
    found = root(lambda v: function(v * scale), start / scale, method="hybr", options={"xtol": 1e-14})
    worst = np.abs(function(found.x * scale)).max()
    assert worst < tolerance, f"reference did not converge: {worst} N"
    return found.x * scale


def _rounding(vehicle):
    """Force [N] that the rounding of a position makes on the stiffest part."""
    return max(1e-5, 1e-12 * max(max(a.tyre_rate, a.bump_rate, a.droop_rate) for a in vehicle.axles))


def settle(vehicle, ramp_angle, share, climb, start=None):
    """Equilibrium at a given climb."""

    def function(values):
        return evaluate(vehicle, ramp_angle, share, climb, values).residual

    start = np.zeros(7) if start is None else np.asarray(start)
    found = _solve(function, start, np.full(7, 0.01), _rounding(vehicle))
    return evaluate(vehicle, ramp_angle, share, climb, found), found


def climb_to_unload(vehicle, ramp_angle, share, wheel, guess, start=None, on_stops=False):
    """Climb at which a wheel's load is zero (index as in WHEELS); on_stops engages the stops of the warp."""
    start = np.zeros(7) if start is None else np.asarray(start)

    def function(values):
        state = evaluate(vehicle, ramp_angle, share, values[7], values[:7], on_stops)
        return np.append(state.residual, state.loads[wheel])

    found = _solve(function, np.append(start, guess), np.append(np.full(7, 0.01), 0.1), _rounding(vehicle))
    return found[7], evaluate(vehicle, ramp_angle, share, found[7], found[:7], on_stops), found[:7]
