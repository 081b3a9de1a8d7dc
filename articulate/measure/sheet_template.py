"""The run sheet to start from: every key with a line about it; it runs as it is."""

from __future__ import annotations

_TEMPLATE = """\
# A run sheet: one vehicle on one ramp on one day. It runs as it is; put your own readings in.
#
#   articulate score THIS_FILE                              scores, how sure they are, and why
#   articulate logbook save THIS_FILE --folder logbook      keep it
#
# A quantity is a text with its unit: "17 15/16 in", "456 mm", "20 deg". How well it is known may follow:
# "2850 mm ± 3 mm" (or +-). Keys after a # are optional: remove the # to use them. What is not given is assumed,
# and the result says so.

vehicle = "{vehicle}"  # name of the vehicle
# vehicle_file = "wagon.toml"  # its vehicle file, seen from here: gives what the tape cannot
# title = "afternoon, road tyres"  # tells two sheets of one vehicle and day apart
date = {date}  # day of the test
notes = ""  # weather, surface, crew
wheelbase = "{wheelbase}"  # hub to hub on level ground, on the side that climbs

[ramp]  # angle, or rise with run, or rise with slope_length: two lengths are the better way
angle = "20.0 deg ± 0.1 deg"  # by inclinometer, along the line of the wheel
# rise = "600 mm"  # height of a point of the ramp over the flat
# run = "1648 mm"  # level, from the toe to below that point
# slope_length = "1754 mm"  # along the ramp, from the toe to that point

[tape]
accuracy_class = "II"  # printed on the tape in an oval: I, II or III
# limit = "1 mm"  # largest error of the tape over the lengths read, instead of its class
resolution = "1/16 in"  # what it is read to

[wheel]  # only for readings at the hub or by plumb line
# radius_on_flat = "381 mm ± 1 mm"  # hub centre over flat ground, before the climb
# radius_on_ramp = "357 mm ± 2 mm"  # hub centre to the ramp, square to it, at the mark
# radius_loss = "24 mm ± 10 mm"  # the one less the other, if only one was measured

[method]  # how the run is stopped and read
touch_load = "10 to 50 N"  # load under the lifting tyre at which the film just pulls out
# climb_per_touch_load = "-0.18 mm/N"  # how the climb at the lift changes with that load
roll_back = "0 mm ± 3 mm"  # how far it rolls back down the ramp between stopping and reading
marking = "2 mm"  # largest error of setting the mark below the hub, or of finding the hub centre
# repeatability = "3 mm"  # standard deviation of climbs made anew, as earlier days showed it

# One [[run]] a side, bar state and way of reading; climbs made anew stand in a list. The reading is one of
#   mark_height            height over the flat of the mark squared from the ramp through the hub
#   slope_distance         distance along the ramp from its toe to that mark
#   hub_height             height of the hub centre over the flat; needs wheel.radius_on_ramp
#   hub_rise               hub height less hub height before the climb; needs wheel.radius_on_flat too
#   plumbed_mark_height    height of the point of the ramp plumb below the hub; needs wheel.radius_on_ramp
#   plumbed_mark_distance  distance along the ramp to that point; needs wheel.radius_on_ramp

[[run]]
side = "left"  # front wheel on the ramp
bars = "connected"  # anti-roll bars connected or released (never release a bar under load)
mark_height = ["17 15/16 in", "17 7/8 in", "18 in"]
lifted = "rear left"  # the wheel that came free first
# time = 10:40:00
# notes = ""
# roll_angle = "14.5 deg"  # of the body at the stop, left side up positive
# pitch_angle = "-5.7 deg"  # nose down positive
# wheel_load.front_right = "1040 N"  # from scales; any of front_left, front_right, rear_left, rear_right
# hub_travel.front_left = "53 mm"  # from ride height, bump positive; any wheel
# arch_gap.front_left = "65 mm"  # between tyre and arch; any wheel

[[run]]
side = "left"
bars = "released"
mark_height = ["22 1/4 in", "22 5/16 in"]
lifted = "rear left"
"""


def sheet_template(vehicle: str = "Larkfell 5", date: str = "2026-05-14", wheelbase: str = "100.4 in ± 1/8 in") -> str:
    """The text of a run sheet that can be scored at once."""
    return _TEMPLATE.format(vehicle=vehicle, date=date, wheelbase=wheelbase)
