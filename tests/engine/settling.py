"""Let a vehicle settle on the flat or on the ramp, and find the climb at which a wheel unloads.

The vehicle is carried forward in time with added damping until nothing moves. Damping and inertias
do not enter the state of rest. A state of rest found this way is stable; where there are several, the way up
decides.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, sqrt
from typing import Any

import mujoco
import numpy as np
from numpy.typing import NDArray

from articulate.model.ramp_test import RampTest
from articulate.model.vehicles import Vehicles
from tests.engine.forces import Forces, Vector, frame_twist, hub_heights, pose_height
from tests.engine.mechanism import PITCH, ROLL, Mechanism, X, build

Array = NDArray[np.float64]

TIME_STEP = 0.002  # [s]
FLAT_CLIMB = -3.0  # [m] before the toe: flat ground
SWEEP_SPEED = 0.4  # [m/s] of the climbing hub along the ramp, on the way to its place
GENTLE_TIME = 4.0  # [s] of a glide
CHECK_EVERY = 25  # steps
REST_SPEED, REST_ACCELERATION = 1e-8, 1e-7  # [m/s and rad/s, m/s^2 and rad/s^2]
SLOWEST, BRISK, FASTEST = 0.25, 6.0, 9.0  # [rad/s] rates of the drag: bounds, and while the hub is carried
OVERTURNED = 1.2  # [rad]
LONGEST_STRIDE = 0.1  # [m] of a walk up the ramp, so that no wheel lifts and comes back unseen


@dataclass(frozen=True, eq=False)
class Settled:
    """A state of rest, or the last state if it did not come to rest.

    Attributes:
        climb: Slope coordinate of the climbing hub [m]; about `FLAT_CLIMB` on flat ground.
        loads: Normal force under each wheel, (4,) [N]; both planes added where a wheel presses on both.
        signed_loads: As `loads`, but below zero off the ground: tyre stiffness x penetration, (4,) [N].
        vertical_loads: Vertical component of each wheel's ground forces, (4,) [N].
        height: Height of the body point that lies at ground level mid front axle at ride height [m].
        pitch: Body pitch, nose down positive [rad].
        roll: Body roll, left side up positive [rad].
        twist: Frame twist w [rad].
        travel: Wheel travel u of each wheel, bump positive, (4,) [m].
        suspension: The two coordinates of the front, then of the rear axle, (4,): left and right carrier
            angle [rad], bump positive (independent), or slide [m] and turn [rad] (solid).
        hubs: Hub positions, (4, 3) [m], toe line at x = 0.
        centre_of_mass: Of the whole vehicle, (3,) [m].
        contacts: Every contact as (wheel, normal force [N], point [m], force [N]), the vectors in world axes.
        speed: Largest joint speed left [m/s, rad/s].
        acceleration: Largest joint acceleration left [m/s^2, rad/s^2].
        holding_error: Horizontal force the holding servo still carries [N]; zero at rest.
        came_to_rest: False if time ran out or the vehicle overturned.
        overturned: Roll or pitch passed `OVERTURNED`.
        simulated: Simulated time of this call [s].
        wall: Elapsed time of this call [s].
        pose: Joint positions, a start for another settling of the same vehicle.
    """

    climb: float
    loads: Array
    signed_loads: Array
    vertical_loads: Array
    height: float
    pitch: float
    roll: float
    twist: float
    travel: Array
    suspension: Array
    hubs: Array
    centre_of_mass: Array
    contacts: tuple[tuple[int, float, Vector, Vector], ...]
    speed: float
    acceleration: float
    holding_error: float
    came_to_rest: bool
    overturned: bool
    simulated: float
    wall: float
    pose: Array


@dataclass(frozen=True, eq=False)
class Unloading:
    """Where the first of the three other wheels is down to the touch load.

    Attributes:
        found: False if no such climb was met: see `note`.
        climb: Slope coordinate of the climbing hub [m].
        score: 1000 x climb / wheelbase.
        wheel: Index of the wheel that unloads (1 front right, 2 rear left, 3 rear right).
        loads: Normal forces there, (4,) [N].
        slope: Change of that wheel's load with climb [N/m].
        state: The settled state the figures are read from, within a fraction of a newton of the touch load.
        settles: How many times the vehicle was settled.
        wall: Elapsed time [s].
        note: What happened, in words.
    """

    found: bool
    climb: float
    score: float
    wheel: int
    loads: Array
    slope: float
    state: Settled
    settles: int
    wall: float
    note: str


class _Run:
    """One vehicle moving in time."""

    def __init__(self, vehicle: Vehicles, test: RampTest, at_surface: bool) -> None:
        if vehicle.lanes != 1 or test.angle.shape != (1,):
            raise ValueError("the reference settles one vehicle at a time: pass one lane")
        self.mechanism: Mechanism = build(vehicle, hub_heights(vehicle), TIME_STEP)
        self.forces = Forces(vehicle, test, self.mechanism, at_surface)
        self.data: Any = mujoco.MjData(self.mechanism.model)
        self.product: Array = np.zeros(self.mechanism.model.nv)
        self.joint_damping: Array = self.mechanism.model.dof_damping.copy()
        self.set_drag(BRISK)
        self.servo = 0.0

    def place(self, pose: Array | None, climb: float) -> float:
        """Put the vehicle into a pose, or level at ride height with its hub at `climb`; its climb then."""
        data, model = self.data, self.mechanism.model
        data.qvel[:] = 0.0
        if pose is not None:
            data.qpos[:] = pose
            mujoco.mj_forward(model, data)
            return self.forces.climb(data)
        data.qpos[:] = 0.0
        mujoco.mj_forward(model, data)
        data.qpos[X] += (climb - self.forces.climb(data)) / self.forces.slope[0]
        mujoco.mj_forward(model, data)
        return self.forces.climb(data)

    def step(self, climb: float, climb_rate: float) -> None:
        """One time step, then the drag: every speed but that along x loses a part proportional to itself."""
        data, model = self.data, self.mechanism.model
        mujoco.mj_step1(model, data)
        self.servo = self.forces.apply(data, climb, climb_rate)
        mujoco.mj_step2(model, data)
        data.qvel[1:] *= exp(-2.0 * self.drag * TIME_STEP)

    def standing_force(self) -> Array:
        """Net generalised force of the present state without damping, as if it stood still (but for drag)."""
        mujoco.mj_mulM(self.mechanism.model, self.data, self.product, self.data.qacc)
        return np.asarray(self.product - self.data.qfrc_passive)

    def adapt(self, moved: Array, changed: Array) -> None:
        """Damping near critical for what still moves, its frequency by Rayleigh's quotient of two states.

        Underwood, Dynamic relaxation, in: Computational Methods for Transient Analysis, 1983 (from memory).
        """
        mujoco.mj_mulM(self.mechanism.model, self.data, self.product, moved)
        inertia = float(self.product @ moved)
        stiffness = -float(changed @ moved)
        if inertia > 0.0:
            self.set_drag(min(max(sqrt(max(stiffness / inertia, 0.0)), SLOWEST), FASTEST))

    def set_drag(self, rate: float) -> None:
        """Drag near critical for this frequency [rad/s], the joints' own damping in proportion."""
        self.drag = rate
        self.mechanism.model.dof_damping[:] = self.joint_damping * max(rate / FASTEST, 0.1)

    def rest(self, climb: float, limit: float) -> tuple[bool, float]:
        """Step until nothing moves, or `limit` [s]; whether it came to rest and the simulated time."""
        data = self.data
        steps = int(limit / TIME_STEP)
        place: Array = data.qpos.copy()
        push: Array | None = None
        for done in range(1, steps + 1):
            self.step(climb, 0.0)
            if done % CHECK_EVERY:
                continue
            if any(warning.number for warning in data.warning):
                raise RuntimeError("the time step does not carry these stiffnesses: the engine reset itself")
            speed = float(np.max(np.abs(data.qvel)))
            acceleration = float(np.max(np.abs(data.qacc)))
            if speed < REST_SPEED and acceleration < REST_ACCELERATION:
                return True, done * TIME_STEP
            if abs(float(data.qpos[PITCH])) > OVERTURNED or abs(float(data.qpos[ROLL])) > OVERTURNED:
                return False, done * TIME_STEP
            now: Array = data.qpos.copy()
            pushed = self.standing_force()
            if push is not None:
                self.adapt(now - place, pushed - push)
            place, push = now, pushed
        return False, steps * TIME_STEP

    def glide(self, start: float, end: float, speed: float) -> float:
        """Carry the hub from one climb to another so gently that nothing swings; the simulated time.

        It gets under way within `GENTLE_TIME`/4 [s], goes at `speed` [m/s], and nears the end like exp(-t/GENTLE_TIME).
        """
        self.set_drag(FASTEST)
        way, rate, steps = 0.0, 0.0, 0
        length, sign = abs(end - start), 1.0 if end > start else -1.0
        while length - way > 1e-7:
            wanted = min(speed, (length - way) / GENTLE_TIME)
            rate += (wanted - rate) * TIME_STEP / (0.25 * GENTLE_TIME)
            way += rate * TIME_STEP
            self.step(start + sign * way, sign * rate)
            steps += 1
        return steps * TIME_STEP

    def sweep(self, start: float, end: float) -> float:
        """Carry the hub from one climb to another at walking pace; the simulated time."""
        steps = max(int(abs(end - start) / SWEEP_SPEED / TIME_STEP), 1)
        rate = (end - start) / (steps * TIME_STEP)
        self.set_drag(BRISK)
        for done in range(1, steps + 1):
            self.step(start + (end - start) * done / steps, rate)
        return steps * TIME_STEP

    def read(self, came_to_rest: bool, simulated: float, wall: float) -> Settled:
        """The present state."""
        data, mechanism, forces = self.data, self.mechanism, self.forces
        acceleration = float(np.max(np.abs(data.qacc)))
        mujoco.mj_forward(mechanism.model, data)
        contacts = forces.contacts(data)
        height, pitch, roll = pose_height(data, mechanism)
        overturned = max(abs(pitch), abs(roll)) > OVERTURNED
        return Settled(
            climb=forces.climb(data),
            loads=np.array([sum(force for force, _, _ in found) for found, _ in contacts]),
            signed_loads=np.array(
                [sum(force for force, _, _ in found) if found else nearest for found, nearest in contacts]
            ),
            vertical_loads=np.array([sum(force[2] for _, _, force in found) for found, _ in contacts]),
            height=height,
            pitch=pitch,
            roll=roll,
            twist=frame_twist(data, mechanism)[0],
            travel=np.array(forces.travels(data)),
            suspension=np.array([data.qpos[joint] for joint in mechanism.suspension]),
            hubs=np.array([data.site_xpos[site] for site in mechanism.hubs]),
            centre_of_mass=data.subtree_com[mechanism.body].copy(),
            contacts=tuple((wheel, *contact) for wheel, (found, _) in enumerate(contacts) for contact in found),
            speed=float(np.max(np.abs(data.qvel))),
            acceleration=acceleration,
            holding_error=self.servo,
            came_to_rest=came_to_rest,
            overturned=overturned,
            simulated=simulated,
            wall=wall,
            pose=data.qpos.copy(),
        )


def settle(
    vehicle: Vehicles,
    test: RampTest,
    climb: float | None,
    start: Settled | None = None,
    *,
    at_surface: bool = False,
    limit: float = 60.0,
) -> Settled:
    """Let one vehicle come to rest with its climbing hub held at slope coordinate `climb`.

    Args:
        vehicle: One lane.
        test: One lane; ramp angle and holding share are used.
        climb: Where the front-left hub is held [m]; None for flat ground far before the toe.
        start: A state of the same vehicle to start from; the hub is carried from there to `climb` at
            walking pace. Without it the vehicle drops onto flat ground before the toe and goes up from there.
        at_surface: Let the tyre force act on the ground below the crown point instead of at the crown point.
        limit: Simulated time after which it is given up [s].

    Raises:
        ValueError: More than one lane.
        RuntimeError: The integration blew up.
    """
    began = time.perf_counter()
    run = _Run(vehicle, test, at_surface)
    simulated = 0.0
    target = FLAT_CLIMB if climb is None else climb
    if start is not None:
        at = run.place(start.pose, 0.0)
    elif climb is None:
        at = run.place(None, target)
    else:
        at = run.place(None, min(target, -0.1))
        _, simulated = run.rest(at, 1.5)  # no need of perfect rest before the climb
    if climb is not None and abs(target - at) > 1e-9:
        simulated += run.sweep(at, target)
    rested, took = run.rest(target, limit)
    return run.read(rested, simulated + took, time.perf_counter() - began)


def creep(vehicle: Vehicles, test: RampTest, legs: Iterable[tuple[float, float]]) -> list[Settled]:
    """One slow drive with suspension friction, up or down, at rest at the end of each leg.

    It starts on flat ground, where friction carries nothing. A leg is the climb of its end [m] and its speed [m/s].
    While the vehicle moves the engine's drag loads the suspension (some 10 N at 1 mm/s), and friction remembers that
    wherever the corners do not slide on: about a lift 0.1 mm/s is slow enough.

    Raises:
        ValueError: More than one lane.
        RuntimeError: It did not come to rest, or the integration blew up.
    """
    began = time.perf_counter()
    run = _Run(vehicle, test, at_surface=False)
    at = run.place(None, -0.1)
    rested, simulated = run.rest(at, 60.0)
    run.forces.anchor_friction(run.data)
    out = []
    for climb, speed in legs:
        simulated += run.glide(at, climb, speed)
        at = climb
        here, took = run.rest(climb, 60.0)
        rested, simulated = rested and here, simulated + took
        if not rested:
            raise RuntimeError(f"it did not come to rest on the way to {climb:.4f} m")
        out.append(run.read(rested, simulated, time.perf_counter() - began))
    return out


def sweep(vehicle: Vehicles, test: RampTest, climbs: Iterable[float]) -> list[Settled]:
    """Settle at one climb after the other, each from the one before, until one does not come to rest."""
    out: list[Settled] = []
    for climb in climbs:
        out.append(settle(vehicle, test, climb, out[-1] if out else None))
        if not out[-1].came_to_rest:
            break
    return out


def _over_touch(state: Settled, touch: float) -> tuple[float, int]:
    """Least load of the three other wheels over the touch load [N], and which wheel."""
    wheel = 1 + int(np.argmin(state.signed_loads[1:]))
    return float(state.signed_loads[wheel]) - touch, wheel


def _slope(one: Settled, other: Settled, touch: float) -> float:
    """Change with climb of the least load, between two states [N/m]; nan at the same climb."""
    run = other.climb - one.climb
    return (_over_touch(other, touch)[0] - _over_touch(one, touch)[0]) / run if run else float("nan")


def find_unloading(
    vehicle: Vehicles,
    test: RampTest,
    near: float,
    *,
    step: float = 0.02,
    load_tolerance: float = 0.05,
    climb_tolerance: float = 2e-6,
    at_surface: bool = False,
    limit: float = 30.0,
    most_settles: int = 40,
) -> Unloading:
    """The climb at which the first of the three other wheels is down to the touch load, searched near `near`.

    Starts `step` below `near`, walks up (or first further down) until the load changes sides, then
    closes in by the secant with bisection as safeguard, always from the loaded side below.

    Args:
        vehicle: One lane.
        test: One lane; the touch load is read from it.
        near: A guess of the climb [m].
        step: First step of the walk [m]; it doubles.
        load_tolerance: How close to the touch load the final state is [N].
        climb_tolerance: Width at which a bracket that shows a jump instead of a root is given up [m].
        at_surface: As in `settle`.
        limit: As in `settle`; a state that takes longer counts as beyond the one looked for [s].
        most_settles: Give up after so many.
    """
    began = time.perf_counter()
    touch, wheelbase = float(test.touch_load[0]), float(vehicle.wheelbase[0])
    settles = 0

    def at(climb: float, start: Settled | None) -> Settled:
        nonlocal settles
        settles += 1
        return settle(vehicle, test, climb, start, at_surface=at_surface, limit=limit)

    def answer(found: bool, state: Settled, wheel: int, slope: float, note: str) -> Unloading:
        over, _ = _over_touch(state, touch)
        climb = state.climb - over / slope if found and slope else state.climb
        wall = time.perf_counter() - began
        return Unloading(
            found, climb, 1000.0 * climb / wheelbase, wheel, state.loads, slope, state, settles, wall, note
        )

    stride = step
    below = at(near - stride, None)
    while _over_touch(below, touch)[0] <= 0.0 or not below.came_to_rest:
        stride *= 2.0
        if near - stride < -0.1 or settles >= most_settles:
            wheel = _over_touch(below, touch)[1]
            return answer(False, below, wheel, 0.0, "no loaded state at rest below the guess")
        below = at(near - stride, None)
    stride = step
    above = at(below.climb + stride, below)
    while above.came_to_rest and _over_touch(above, touch)[0] > 0.0:
        below, stride = above, min(2.0 * stride, LONGEST_STRIDE)
        if settles >= most_settles:
            wheel = _over_touch(above, touch)[1]
            return answer(False, above, wheel, 0.0, "no wheel unloads: search given up")
        above = at(below.climb + stride, below)
    # `below` is loaded, `above` is not: close in from below by the secant through the last two loaded states,
    # halving now and then, so that a jump is cornered
    previous: Settled | None = None
    while settles < most_settles:
        over, wheel = _over_touch(below, touch)
        slope = _slope(below, above if previous is None else previous, touch)
        if over <= load_tolerance and slope < 0.0:
            return answer(True, below, wheel, slope, "a wheel unloads")
        width = above.climb - below.climb
        if width < climb_tolerance:
            what = "the equilibrium jumps" if above.came_to_rest else "no state of rest beyond"
            return answer(False, below, wheel, 0.0, what)
        guess = below.climb - over / slope if slope < 0.0 else above.climb
        if guess >= above.climb - 1e-3 * width:
            # the load falls faster once the wheel hangs free: step back by what the last slope asks for
            back = _over_touch(above, touch)[0] / slope if above.came_to_rest and slope < 0.0 else 0.5 * width
            guess = max(above.climb - max(back, 1e-3 * width), below.climb + 0.5 * width)
        if settles % 5 == 4 or not below.climb < guess < above.climb:
            guess = below.climb + 0.5 * width
        state = at(guess, below)
        over, wheel = _over_touch(state, touch)
        if state.came_to_rest and abs(over) <= load_tolerance:
            return answer(True, state, wheel, _slope(state, below, touch), "a wheel unloads")
        if state.came_to_rest and over > 0.0:
            previous, below = below, state
        else:
            above = state
    return answer(False, below, _over_touch(below, touch)[1], 0.0, "search given up")
