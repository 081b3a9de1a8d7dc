"""What the inputs of a vehicle file and of a test are called where people read of them without the file."""

from __future__ import annotations

from collections.abc import Sequence

_WORDS = {
    "wheelbase": "wheelbase",
    "roll_gradient": "roll gradient",
    "front_share": "share of the mass on the front axle",
    "centre_of_gravity_height": "height of the centre of gravity",
    "static_stability_factor": "static stability factor",
    "diameter": "tyre diameter",
    "pressure": "tyre pressure",
    "centre_front_share": "share of the torque an open centre sends to the front",
    "front_bias_ratio": "bias ratio of the front differential",
    "rear_bias_ratio": "bias ratio of the rear differential",
    "friction": "friction of tyre on ramp and floor",
    "holding_share": "share of the slope force the ramp wheel holds",
    "torsional_rate": "torsional rate of the frame",
    "track": "track",
    "bump": "bump travel",
    "droop": "droop travel",
    "total": "wheel travel in all",
    "bump_share": "share of bump in the wheel travel",
}
_MASS = {
    "total": "total mass",
    "front_axle": "mass on the front axle",
    "rear_axle": "mass on the rear axle",
    "left_of_centre": "centre of gravity to the left of the middle",
}
_PARTS = {
    "spring": "spring",
    "anti_roll_bar": "anti-roll bar",
    "auxiliary_roll": "auxiliary roll stiffness",
    "twist_beam": "twist beam",
    "bump_stop": "bump stop",
    "droop_stop": "droop stop",
    "cross_link": "cross link",
}


def input_name(key: str) -> str:
    """An input in words: `rear.anti_roll_bar.end_rate` is the rear anti-roll bar's end rate."""
    parts = key.split(".")
    axle = f"{parts[0]} " if parts[0] in ("front", "rear") else ""
    last = parts[-1]
    part = _PARTS.get(parts[-2]) if len(parts) > 1 else None
    if part is not None:
        return f"{axle}{part} {last.replace('_', ' ').removeprefix(f'{part} ')}"
    if parts[0] in ("load", "body_point"):
        return f"{'.'.join(parts[1:-1])}: {last.replace('_', ' ')}"
    if parts[0] == "mass" and last in _MASS:
        return _MASS[last]
    whole = "tyre " if parts[0] == "tyre" else ""
    return axle + _WORDS.get(last, whole + last.replace("_", " "))


def input_words(group: Sequence[str]) -> str:
    """An input's key, or those that are tied, as words."""
    names = [input_name(key) for key in group]
    ends = {name.removeprefix("front ").removeprefix("rear ") for name in names}
    if len(names) == 2 and len(ends) == 1:
        return f"front, rear {ends.pop()} (tied)"
    return " + ".join(names)
