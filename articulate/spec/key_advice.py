"""Advice for keys that people look for and that go by another name here, or by none, where spelling alone misleads."""

from __future__ import annotations

from collections.abc import Mapping

_MASS = "masses are weighed whole: give mass.total or both axle loads, and front.unsprung_mass, rear.unsprung_mass"
_DAMPING = "the climb is slow, so damping does not enter; leave it out (dry friction is suspension_friction)"
_STEERING = "the driver steers straight and camber is left out; leave it out"
_BAR = "anti-roll bars stand under [front.anti_roll_bar] and [rear.anti_roll_bar], with roll_stiffness, wheel_rate, \
end_rate or dimensions"
_RATIO = "motion ratios say which over which: spring_travel_over_wheel_travel, or wheel_travel_over_spring_travel"

ADVICE: Mapping[str, str] = {
    "sprung_mass": _MASS,
    "sprung_weight": _MASS,
    "weight": _MASS,
    "mass": _MASS,
    "kerb_weight": _MASS,
    "curb_weight": _MASS,
    "corner_weight": _MASS,
    "cg_height": "write it as mass.centre_of_gravity_height",
    "cog_height": "write it as mass.centre_of_gravity_height",
    "center_of_gravity_height": "write it as mass.centre_of_gravity_height",
    "ssf": "write it as mass.static_stability_factor",
    "weight_distribution": "write it as mass.front_share",
    "motion_ratio": _RATIO,
    "installation_ratio": _RATIO,
    "spring_rate": "give spring.rate with a motion ratio, or spring.wheel_rate",
    "roll_rate": "give spring.wheel_rate with spring.spacing, and the bar in anti_roll_bar.roll_stiffness",
    "damping": _DAMPING,
    "damper_rate": _DAMPING,
    "shock_absorber": _DAMPING,
    "roll_centre_height": "write roll_centre_above_hub (solid axle), or pivot_above_hub with swing_arm_length",
    "roll_center_height": "write roll_centre_above_hub (solid axle), or pivot_above_hub with swing_arm_length",
    "camber": _STEERING,
    "caster": _STEERING,
    "toe": _STEERING,
    "anti_roll_bar": _BAR,
    "sway_bar": _BAR,
    "stabiliser": _BAR,
    "stabilizer": _BAR,
    "antiroll_bar": _BAR,
    "compression": "write travel.bump",
    "jounce": "write travel.bump",
    "rebound": "write travel.droop",
    "extension": "write travel.droop",
    "tire": "write tyre",
    "tires": "write tyre",
    "lift": "write ride_height_change, of the axle whose body stands higher",
}


def advice_for(key: str) -> str | None:
    """What to write for a key of another name; None where spelling is the better guide."""
    return ADVICE.get(key.lower())
