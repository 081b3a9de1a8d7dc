"""The vehicle file to start from: every key with a line about it, and the shortest that works."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, get_origin

from articulate.spec.key_lookup import example_of, only_of, table_at, text_of
from articulate.spec.keys import Table, VehicleFile

_MINIMAL = """\
# The shortest vehicle file that works. Whatever is not said here is assumed, with a wide range, and the
# report says what was assumed and what measuring it would be worth.

name = "Minimal wagon"
construction = "body on frame"  # or "closed body", "open pickup on ladder frame"
wheelbase = "2800 mm"
mass.total = "2100 kg"
tyre.size = "265/70R17"

[front]
suspension = "independent"  # or "solid"
track = "1580 mm"
travel.total = "200 mm"  # wheel travel, bump and droop together; leave both lines out if it is not known
travel.counted = "to full bump"  # as brochures count; what a tape says is "to first touch" of the bump stop
anti_roll_bar = true  # or false, or "unknown"

[rear]
suspension = "solid"
track = "1580 mm"
travel.total = "230 mm"
travel.counted = "to full bump"
anti_roll_bar = false

# [drive]  # which wheels drive on the ramp; left out, nothing is said of wheelspin
# driven_wheels = "all"  # or "front", "rear"
# front_differential = "open"  # or "limited slip", "locked", "held by brakes"; rear_differential likewise
# centre = "open"  # where all wheels drive; or "locked" where front and rear turn together
"""

_HEAD = """\
# A vehicle file. It runs as it is; put your own numbers in.
#
# A quantity is a text with its unit: "17 3/8 in", "5 ft 3 1/2 in", "441 mm", "30 N/mm", "171 lb/in",
# "1.2 kN m/deg", "36 psi", "2150 kg", "52 %". How well it is known may follow: "2150 kg ± 20 kg" (or +-),
# "441 mm ± 1 %", or a range "5 to 12 kN m/deg". Both are limits, with every value between equally likely.
# The long form says more:
#   { value = "2150 kg", standard_uncertainty = "8 kg", source = "measured", basis = "weighbridge" }
#   { value = "8 kN m/deg", range = ["5 kN m/deg", "12 kN m/deg"], source = "published" }
#   { value = "441 mm", plus_minus = "2 mm" }
# with source = "measured", "published", "assumed" or "given". Keys after a # are optional: remove
# the # to use them. What is not given is assumed with a wide range, and the report says so.

"""

# The vehicle of the template; the lines about its keys, and the keys it has no use for, come from the table of keys.
_EXAMPLE = """\
name = "Larkfell 5"
notes = "An invented five-door wagon."
construction = "body on frame"
engine = "front longitudinal"
wheelbase = "2850 mm ± 3 mm"
mass.front_axle = "1180 kg ± 10 kg"
mass.rear_axle = "1040 kg ± 10 kg"
mass.centre_of_gravity_height = "715 mm ± 25 mm"
mass.left_of_centre = "0 mm ± 15 mm"
tyre.size = "265/70R17"
tyre.pressure = "33 psi ± 1 psi"
frame = {}
drive.driven_wheels = "all"
drive.front_differential = "open"
drive.rear_differential = "locked"
drive.centre = "locked"

[front]
suspension = "independent"
track = "1580 mm ± 3 mm"
unsprung_mass = "130 kg ± 20 kg"
swing_arm_length = "1.8 to 3.2 m"
pivot_above_hub = "-20 mm ± 60 mm"
ride_height_change = "0 mm"
arch_gap = "150 mm"
arch_gap_at_full_lock = "130 mm"
travel.counted = "to first touch"
travel.bump = "85 mm ± 3 mm"
travel.droop = "105 mm ± 3 mm"
spring.kind = "coil"
spring.seat = "held"
spring.rate = "95 N/mm ± 4 %"
spring.spring_travel_over_wheel_travel = "0.62 ± 0.02"
bump_stop.rate = "40 to 90 N/mm"
bump_stop.cubic_rate = "0.05 to 0.2 N/mm^3"
droop_stop.rate = "150 to 400 N/mm"
anti_roll_bar.fitted = true
anti_roll_bar.releasable = true
anti_roll_bar.diameter = "30 mm"
anti_roll_bar.arm_length = "300 mm"
anti_roll_bar.arm_reach = "280 mm"
anti_roll_bar.centre_length = "900 mm"
anti_roll_bar.end_travel_over_wheel_travel = "0.65 ± 0.03"

[rear]
suspension = "solid"
links = "four or five links"
track = "1580 mm ± 3 mm"
unsprung_mass = "205 kg ± 25 kg"
roll_centre_above_hub = "40 mm ± 60 mm"
arch_gap = "150 mm"
travel.counted = "to full bump"
travel.total = "230 mm ± 5 mm"
travel.bump_share = "44 %"
spring.wheel_rate = "34 N/mm ± 3 %"
spring.spacing = "980 mm"
bump_stop.spacing = "940 mm"
droop_stop.spacing = "1010 mm"
anti_roll_bar.fitted = true
auxiliary_roll.over_springs = "20 to 60 %"

[[load]]
name = "driver"
mass = "85 kg ± 5 kg"
behind_front_axle = "1.45 m"
left_of_centre = "370 mm"
height = "0.95 m"

[[body_point]]
name = "front bumper, lower left corner"
behind_front_axle = "-720 mm"
left_of_centre = "610 mm"
height = "430 mm"
"""


def template(*, minimal: bool = False) -> str:
    """The text of a vehicle file that runs as it is: every key with its line, or the minimal one."""
    return _MINIMAL if minimal else _HEAD + "\n".join(_lines(VehicleFile, tomllib.loads(_EXAMPLE), "", set())) + "\n"


def _lines(model: type[Table], given: Mapping[str, Any] | None, name: str, told: set[tuple[str, str]]) -> Iterator[str]:
    """The lines of a table: what the example gives, and behind a # each other key that no table before has told of."""

    def news(key: str) -> bool:
        """Whether a key is told of here: for the first time, and in front if it goes with the suspension there."""
        only = only_of(model, key)
        return (model.__name__, key) not in told and (not only or "independent" in only or name.startswith("rear"))

    def comment(key: str) -> str:
        text = f"  # {text_of(model, key)}" if news(key) else ""
        told.add((model.__name__, key))
        return text

    tables = [key for key in model.model_fields if table_at(model, key) is not None]
    for key in model.model_fields:
        if key not in tables and given is not None and key in given:
            yield f"{key} = {json.dumps(given[key], ensure_ascii=False)}{comment(key)}"
        elif key not in tables and news(key):
            yield f"# {example_of((key,), model)}{comment(key)}"
    for key in tables:
        inner, path, found = table_at(model, key), f"{name}.{key}".lstrip("."), (given or {}).get(key)
        several = get_origin(model.model_fields[key].annotation) is list
        for item in found if isinstance(found, list) else [found]:
            lines = list(_lines(inner, item, path, told)) if inner and (item is not None or news(key)) else []
            if item is not None or lines or news(key):
                yield ""
                yield f"{'# ' if item is None else ''}{f'[[{path}]]' if several else f'[{path}]'}{comment(key)}"
                yield from lines
