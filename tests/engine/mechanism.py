"""The vehicle as a mujoco tree: masses, joints and gravity, no contacts and no springs.

World axes are ISO 8855 (x forward, y left, z up), the toe line is x = 0. With every joint at zero the vehicle
stands at ride height with its front hubs at x = 0.

Joints, in this order:
  body: slides x and z, hinges pitch (about y) then roll (about the pitched x), so R = Ry(pitch) Rx(roll);
  with a compliant frame: one hinge for the front half, one for the rear half, tied to opposite angles;
  per axle two suspension coordinates: an independent carrier's hinges about its left and its right pivot
  (positive in bump), or a solid axle's slide along body z and turn about its roll centre (left up positive).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import mujoco

from articulate.constants import STANDARD_GRAVITY
from articulate.model.vehicles import Vehicles

X, Z, PITCH, ROLL = range(4)
TINY_MASS = 1e-6  # mujoco asks for some mass on every moving body; 1e-5 N of weight
ADDED_INERTIA_AS_MASS = 60.0  # [kg] armature at the wheels: slower hubs allow longer time steps


@dataclass(frozen=True)
class Mechanism:
    """A compiled tree and where to find things in it.

    The `suspension` joints are front first, two an axle; `carriers` and `hubs` (sites) are in wheel order.
    """

    model: mujoco.MjModel
    body: int
    carriers: tuple[int, int, int, int]
    hubs: tuple[int, int, int, int]
    suspension: tuple[int, int, int, int]
    twist: tuple[int, int] | None
    origin: tuple[float, float, float]  # of the body's joints, in the vehicle's axes [m]


def _numbers(*values: float) -> str:
    return " ".join(repr(float(value)) for value in values)


def _inertial(mass: float, position: str, gyration: tuple[float, float, float]) -> str:
    diagonal = _numbers(*(mass * radius**2 for radius in gyration))
    return f'<inertial pos="{position}" mass="{mass!r}" diaginertia="{diagonal}"/>'


def _independent_side(axle: str, side: str, sign: float, at: tuple[float, float, float], v: dict[str, float]) -> str:
    """One carrier turning about its pivot; `at` is the hub relative to the parent body at ride height."""
    arm, height, hub_mass = v["swing_arm"], v["pivot_height"], 0.5 * v["unsprung_mass"]
    hub = _numbers(0.0, sign * arm, -height)
    reach = arm**2 + height**2
    armature = ADDED_INERTIA_AS_MASS * reach
    return (
        f'<body name="{axle} {side}" pos="{_numbers(at[0], at[1] - sign * arm, at[2] + height)}">'
        f'<joint name="{axle} {side}" type="hinge" axis="{_numbers(sign, 0.0, 0.0)}" armature="{armature!r}"'
        f' damping="{v["damping"] * reach!r}"/>'
        f"{_inertial(hub_mass, hub, (0.1, 0.1, 0.1))}"
        f'<site name="{axle} {side} hub" pos="{hub}"/></body>'
    )


def _solid_axle(axle: str, at: tuple[float, float, float], v: dict[str, float]) -> str:
    """A solid axle: its roll centre slides along body z, the axle turns about it; mass at mid hub line."""
    half_track, height = 0.5 * v["track"], v["pivot_height"]
    turn = 2.0 * half_track**2
    gyration = (0.6 * half_track, 0.1, 0.6 * half_track)
    return (
        f'<body name="{axle}" pos="{_numbers(at[0], at[1], at[2] + height)}">'
        f'<joint name="{axle} slide" type="slide" axis="0 0 1" armature="{2.0 * ADDED_INERTIA_AS_MASS!r}"'
        f' damping="{2.0 * v["damping"]!r}"/>'
        f'<joint name="{axle} turn" type="hinge" axis="1 0 0" armature="{ADDED_INERTIA_AS_MASS * turn!r}"'
        f' damping="{v["damping"] * turn!r}"/>'
        f"{_inertial(v['unsprung_mass'], _numbers(0.0, 0.0, -height), gyration)}"
        f'<site name="{axle} left hub" pos="{_numbers(0.0, half_track, -height)}"/>'
        f'<site name="{axle} right hub" pos="{_numbers(0.0, -half_track, -height)}"/></body>'
    )


def _axle_xml(vehicle: Vehicles, axle: int, hub_height: float, origin: tuple[float, float, float]) -> str:
    """The carriers of one axle; `origin` is the parent body's origin in the vehicle's axes."""
    name = ("front", "rear")[axle]
    v = {
        key: float(getattr(vehicle, key)[0, axle])
        for key in ("track", "unsprung_mass", "swing_arm", "pivot_height", "spring_rate", "tyre_stiffness")
    }
    # about critical for a hub between its tyre and the body
    v["damping"] = 2.0 * sqrt(v["tyre_stiffness"] * (0.5 * v["unsprung_mass"] + ADDED_INERTIA_AS_MASS)) * 0.5
    along = (0.0, -float(vehicle.wheelbase[0]))[axle] - origin[0]
    up = hub_height - origin[2]
    if vehicle.solid[0, axle]:
        return _solid_axle(name, (along, -origin[1], up), v)
    half_track = 0.5 * v["track"]
    return _independent_side(name, "left", 1.0, (along, half_track - origin[1], up), v) + _independent_side(
        name, "right", -1.0, (along, -half_track - origin[1], up), v
    )


def build(vehicle: Vehicles, hub_heights: tuple[float, float], time_step: float) -> Mechanism:
    """Compile one vehicle (a batch of one lane).

    Args:
        vehicle: One lane.
        hub_heights: Hub height over flat ground at ride height, front and rear [m].
        time_step: Of the integration [s].
    """
    behind, left, height = (float(c) for c in vehicle.sprung_centre[0])
    wheelbase = float(vehicle.wheelbase[0])
    sprung_mass, load_mass = float(vehicle.sprung_mass[0]), float(vehicle.load_mass[0])
    origin = (-behind, left, height)
    compliant = bool(vehicle.frame_compliance[0] > 0.0)
    # enough inertia for the time step to carry a stiff frame: it turns at well below 1 rad a step
    frame_inertia = max(100.0, 8.0 * time_step**2 / float(vehicle.frame_compliance[0])) if compliant else 0.0
    axis_height = 0.5 * (hub_heights[0] + hub_heights[1])
    halves = []
    for axle, half in enumerate(("front half", "rear half")):
        if not compliant:
            halves.append(_axle_xml(vehicle, axle, hub_heights[axle], origin))
            continue
        on_axis = (0.0 if axle == 0 else -wheelbase, 0.0, axis_height)
        place = _numbers(*(a - o for a, o in zip(on_axis, origin, strict=True)))
        halves.append(
            f'<body name="{half}" pos="{place}"><joint name="{half}" type="hinge" axis="1 0 0"'
            f' armature="{frame_inertia!r}" damping="{30.0 * frame_inertia!r}"/>'
            f"{_inertial(TINY_MASS, '0 0 0', (1.0, 1.0, 1.0))}"
            f"{_axle_xml(vehicle, axle, hub_heights[axle], on_axis)}</body>"
        )
    load = ""
    if load_mass > 0.0:
        load_behind, load_left, load_height = (float(c) for c in vehicle.load_centre[0])
        at = _numbers(-load_behind - origin[0], load_left - origin[1], load_height - origin[2])
        load = f'<body name="load" pos="{at}">{_inertial(load_mass, "0 0 0", (0.2, 0.2, 0.2))}</body>'
    # the twist w is one coordinate: the two halves turn by +w/2 and -w/2; mujoco's constraint gives way by
    # about torque x 1e-4 / (inertia x solref^-2), some 1e-9 rad here
    tie = (
        f'<equality><joint joint1="front half" joint2="rear half" polycoef="0 -1 0 0 0"'
        f' solref="{2.0 * time_step!r} 1" solimp="0.9999 0.9999 0.001 0.5 2"/></equality>'
        if compliant
        else ""
    )
    text = (
        f'<mujoco><compiler angle="radian"/><option timestep="{time_step!r}" integrator="implicitfast"'
        f' gravity="0 0 {-STANDARD_GRAVITY!r}"><flag contact="disable"/></option><worldbody>'
        f'<body name="sprung" pos="{_numbers(*origin)}">'
        '<joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>'
        '<joint name="pitch" type="hinge" axis="0 1 0"/><joint name="roll" type="hinge" axis="1 0 0"/>'
        f"{_inertial(sprung_mass, '0 0 0', (0.6, 0.45 * wheelbase, 0.45 * wheelbase))}"
        f"{load}{''.join(halves)}</body></worldbody>{tie}</mujoco>"
    )
    model = mujoco.MjModel.from_xml_string(text)

    def number(kind: mujoco.mjtObj, name: str) -> int:
        found = int(mujoco.mj_name2id(model, kind, name))
        assert found >= 0, name
        return found

    carriers, hubs, suspension = [], [], []
    for axle, name in enumerate(("front", "rear")):
        solid = bool(vehicle.solid[0, axle])
        for side, joint in (("left", "slide"), ("right", "turn")):
            carriers.append(number(mujoco.mjtObj.mjOBJ_BODY, name if solid else f"{name} {side}"))
            hubs.append(number(mujoco.mjtObj.mjOBJ_SITE, f"{name} {side} hub"))
            suspension.append(number(mujoco.mjtObj.mjOBJ_JOINT, f"{name} {joint if solid else side}"))
    twist = (
        (
            number(mujoco.mjtObj.mjOBJ_JOINT, "front half"),
            number(mujoco.mjtObj.mjOBJ_JOINT, "rear half"),
        )
        if compliant
        else None
    )
    return Mechanism(
        model,
        number(mujoco.mjtObj.mjOBJ_BODY, "sprung"),
        (carriers[0], carriers[1], carriers[2], carriers[3]),
        (hubs[0], hubs[1], hubs[2], hubs[3]),
        (suspension[0], suspension[1], suspension[2], suspension[3]),
        twist,
        origin,
    )
