"""The run sheet to start from: every key with a line about it, and empty readings: no number in it is invented."""

from __future__ import annotations

import json
from dataclasses import dataclass

_TEMPLATE = """\
# A run sheet: one vehicle on one ramp on one day. Put in the day and what was read, and take out a
# [[run]] that was not driven: one without a reading is refused.
#
#   articulate score THIS_FILE                              scores, how sure they are, and why
#   articulate logbook save THIS_FILE --folder logbook      keep it
#
# A quantity is a text with its unit: "22 7/16 in", "571 mm", "20 deg". How well it is known may follow:
# "2850 mm ± 3 mm" (or +-). Keys after a # are optional: remove the # to use them. What is not given is assumed,
# and the result says so.

vehicle = {vehicle}  # name of the vehicle
{vehicle_file}  # its vehicle file, seen from here: gives what the tape cannot
# title = "afternoon, road tyres"  # tells two sheets of one vehicle and day apart
date = ""  # day of the test, such as 2026-05-14
notes = ""  # weather, surface, crew
wheelbase = {wheelbase}  # hub to hub on level ground, on the side that climbs; tape it again

[ramp]  # angle, or rise with run, or rise with slope_length: two lengths are the better way
# angle = "20.0 deg ± 0.1 deg"  # by inclinometer, along the line of the wheel
# rise = "600 mm"  # height of a point of the ramp over the flat
# run = "1648 mm"  # level, from the toe to below that point
# slope_length = "1754 mm"  # along the ramp, from the toe to that point

[tape]
# accuracy_class = "II"  # printed on the tape in an oval: I, II or III
# limit = "1 mm"  # largest error of the tape over the lengths read, instead of its class
# resolution = "{resolution}"  # what it is read to

[wheel]  # only for readings at the hub or by plumb line
# radius_on_flat = "381 mm ± 1 mm"  # hub centre over flat ground, before the climb
# radius_on_ramp = "357 mm ± 2 mm"  # hub centre to the ramp, square to it, at the mark
# radius_loss = "24 mm ± 10 mm"  # the one less the other, if only one was measured

[method]  # how the run is stopped and read
# touch_load = "10 to 50 N"  # load under the lifting tyre at which the film just pulls out
# climb_per_touch_load = "-0.18 mm/N"  # how the climb at the lift changes with that load
# roll_back = "0 mm ± 3 mm"  # how far it rolls back down the ramp between stopping and reading
# marking = "2 mm"  # largest error of setting the mark below the hub, or of finding the hub centre
# repeatability = "3 mm"  # standard deviation of climbs made anew, as earlier days showed it

# One [[run]] a side, bar state and way of reading; climbs made anew stand in a list, as
#   mark_height = [{example}]
# The reading is one of
#   mark_height            height over the flat of the mark squared from the ramp through the hub
#   slope_distance         distance along the ramp from its toe to that mark
#   hub_height             height of the hub centre over the flat; needs wheel.radius_on_ramp
#   hub_rise               hub height less hub height before the climb; needs wheel.radius_on_flat too
#   plumbed_mark_height    height of the point of the ramp plumb below the hub; needs wheel.radius_on_ramp
#   plumbed_mark_distance  distance along the ramp to that point; needs wheel.radius_on_ramp

{runs}"""

_FIRST_RUN = """\
[[run]]
side = "{side}"  # front wheel on the ramp
bars = "{bars}"  # anti-roll bars connected or released (never release a bar under load)
mark_height = []  # nothing read yet
# lifted = "rear {side}"  # the wheel that came free first
# time = 10:40:00
# notes = ""
# roll_angle = "14.5 deg"  # of the body at the stop, left side up positive
# pitch_angle = "-5.7 deg"  # nose down positive
# wheel_load.front_right = "1040 N"  # from scales; any of front_left, front_right, rear_left, rear_right
# hub_travel.front_left = "53 mm"  # from ride height, bump positive; any wheel
# arch_gap.front_left = "65 mm"  # between tyre and arch; any wheel
"""
_RUN = """\
[[run]]
side = "{side}"
bars = "{bars}"
mark_height = []
"""
_EXAMPLES = {True: '"22 7/16 in", "22 3/8 in"', False: '"570 mm", "568 mm"'}
_RESOLUTIONS = {True: "1/16 in", False: "1 mm"}


@dataclass(frozen=True)
class SheetHead:
    """What a sheet can know before the day: the vehicle, its file, its wheelbase as written, and what it can do."""

    vehicle: str = "Larkfell 5"
    vehicle_file: str = ""  # seen from the sheet; empty where there is none
    wheelbase: str = "2850 mm ± 3 mm"
    in_inches: bool = False  # the file is in inches, so the tape will be
    releasable: bool = True  # a bar can be released


def sheet_template(head: SheetHead | None = None) -> str:
    """The text of a run sheet for both sides and every state of the bars, with empty readings."""
    known = head if head is not None else SheetHead()
    states = ("connected", "released") if known.releasable else ("connected",)
    runs = [
        (_RUN if place else _FIRST_RUN).format(side=side, bars=bars)
        for place, (bars, side) in enumerate((bars, side) for bars in states for side in ("left", "right"))
    ]
    return _TEMPLATE.format(
        vehicle=_quoted(known.vehicle),
        vehicle_file=f"vehicle_file = {_quoted(known.vehicle_file)}"
        if known.vehicle_file
        else '# vehicle_file = "wagon.toml"',
        wheelbase=_quoted(known.wheelbase),
        resolution=_RESOLUTIONS[known.in_inches],
        example=_EXAMPLES[known.in_inches],
        runs="\n".join(runs),
    )


def _quoted(text: str) -> str:
    """A text as a TOML string, whose escapes are those of JSON."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
