"""The vehicle file to start from: every key with a line about it, and the shortest that works."""

from __future__ import annotations

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

_FULL = """\
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

name = "Larkfell 5"  # name of the vehicle
notes = "An invented five-door wagon."  # anything worth knowing
construction = "body on frame"  # "closed body", "body on frame" or "open pickup on ladder frame"
engine = "front longitudinal"  # or "front transverse", "mid", "rear"; matters where axle loads are not given
wheelbase = "2850 mm ± 3 mm"  # hub to hub at ride height
# air_setting = "raised"  # of air springs on the ramp: "normal", "raised" or "lowered"; see [front.spring]
# roll_gradient = "5.4 deg/g ± 0.3 deg/g"  # published, of a steady turn: sets bars and auxiliary stiffness if assumed

[mass]  # as weighed, without the [[load]] entries; two of total, front_axle, rear_axle, front_share
front_axle = "1180 kg ± 10 kg"  # what a scale reads under the two front wheels
rear_axle = "1040 kg ± 10 kg"  # what a scale reads under the two rear wheels
# total = "2220 kg"  # the whole vehicle; beside both axle loads it is checked against them
# front_share = "53 %"  # share of the total on the front wheels, instead of an axle load
centre_of_gravity_height = "715 mm ± 25 mm"  # of the whole vehicle, above the ground
# static_stability_factor = "1.11"  # mean track over twice that height, instead of it
left_of_centre = "0 mm ± 15 mm"  # how far the centre of gravity sits left of the middle; negative: right

[tyre]  # [front.tyre] and [rear.tyre] take the same keys where an axle differs
size = "265/70R17"  # code from the sidewall, or "35x12.50R17", or "7.50-16" of full section
# diameter = "803 mm"  # unloaded, as measured; goes before that of the size
# width = "272 mm"  # section width as measured; goes before that of the size
# rim_diameter = "17 in"  # if there is no size code to say it
# section_radius = "136 mm"  # radius of the tread across the tyre; half the width if not given
pressure = "33 psi ± 1 psi"  # at the test
# vertical_stiffness = "290 N/mm"  # load over deflection of one tyre, instead of an estimate
# stiffness_factor = "1.0"  # factor on the estimate from size and pressure
# heights_measured_on = "255/70R17"  # tyres on which heights and arch gaps were measured, if others
# heights_measured_at = "36 psi"  # tyre pressure at which heights were measured, if another
# mass_change = "5 kg"  # how much heavier one tyre is than those the vehicle was weighed on
# shoulder_over_width = "0.2"  # radius between tread and sidewall over the width; matters in the wheelhouse

[frame]
# torsional_rate = "5 to 12 kN m/deg"  # couple over twist between the axles, or "rigid"

[front]
suspension = "independent"  # "independent" or "solid"; behind also "twist beam"
track = "1580 mm ± 3 mm"  # between the centres of the two tyres
unsprung_mass = "130 kg ± 20 kg"  # what goes with the wheels, both sides
# unsprung_share = "6 %"  # the same as a share of the total mass
swing_arm_length = "1.8 to 3.2 m"  # independent: from the hub sideways to the point it swings about
# swing_arm_over_track = "1.5"  # independent: the same divided by the track
pivot_above_hub = "-20 mm ± 60 mm"  # independent: height of that point above the hub
ride_height_change = "0 mm"  # body higher here than when travel and heights were measured
arch_gap = "150 mm"  # hub travel until the tyre meets the arch, wheel straight ahead
arch_gap_at_full_lock = "130 mm"  # the same at full lock, the tighter way round
# clearance_kept = "12 mm"  # hub travel to be left at full bump before the tyre rubs
# lock_angle = "34 deg"  # of the wheel that turns further; for the points of [[front.wheelhouse]]
# steering_offset = "60 mm"  # tyre's centre plane outboard of the steering axis, at hub height
# suspension_friction = "50 to 200 N"  # dry, of one corner at the wheel: half of what up and down differ

[front.travel]  # from ride height, straight up and down; two of bump, droop, total, or a bump share, or nothing
counted = "to first touch"  # a tape's, to the stop (so is a bump); a brochure's is "to full bump" (so is a total)
bump = "85 mm ± 3 mm"  # up, until the bump stop is touched, or pressed together if counted to full bump
droop = "105 mm ± 3 mm"  # down, until the damper ends it
# total = "190 mm"  # both together
# bump_share = "45 %"  # share of the total that is bump

[front.spring]  # one of wheel_rate, rate with a motion ratio, ride_frequency
kind = "coil"  # "coil", "leaf", "torsion bar" or "air"
seat = "held"  # "loose" if it can leave its seat and cannot pull
# raised_by = "50 mm"  # air: body higher here at the raised setting than at the normal one
# lowered_by = "40 mm"  # air: body lower here at the lowered setting
# setting_rate_factor = "0.85"  # air: rate at that setting over the rate at the normal one
# linked = true  # air: left and right share their air, so that the springs hold nothing against roll
rate = "95 N/mm ± 4 %"  # of one spring on its own, together with a motion ratio
spring_travel_over_wheel_travel = "0.62 ± 0.02"  # motion ratio, this way round
# wheel_travel_over_spring_travel = "1.61"  # motion ratio, the other way round
# wheel_rate = "37 N/mm"  # load over travel at one wheel, both moving together, bar disconnected
# ride_frequency = "1.35 Hz"  # bounce over this axle on the springs alone; with its tyres some 5 % lower

[front.bump_stop]  # force = rate x d + cubic_rate x d^3, at the wheel for an independent axle
rate = "40 to 90 N/mm"  # at first touch
cubic_rate = "0.05 to 0.2 N/mm^3"  # how it hardens
# full_bump_load = "2.5"  # on each stop in full bump, over the sprung load of its side at rest
# spacer = "to keep clear"  # "as fitted": travel stands as measured; or spacers that keep the tyre off the arch

[front.droop_stop]  # what ends the droop
rate = "150 to 400 N/mm"  # of the damper's end stop

[front.anti_roll_bar]  # or = true, false, "unknown"; roll_stiffness, wheel_rate, end_rate, or dimensions
fitted = true  # whether there is a bar; "unknown" where nobody has looked
# chance = "70 %"  # that there is a bar, with fitted = "unknown"; bands hold the vehicle with and without
releasable = true  # whether it can be released for the ramp
diameter = "30 mm"  # of a steel bar, with the three lengths below
# inner_diameter = "18 mm"  # bore of a hollow bar
arm_length = "300 mm"  # along the arm
arm_reach = "280 mm"  # square to the centre part
centre_length = "900 mm"  # of the straight centre part
# shear_modulus = "80 GPa"  # steel if not given
# elastic_modulus = "206 GPa"  # steel if not given
end_travel_over_wheel_travel = "0.65 ± 0.03"  # independent: motion ratio of the bar, this way round
# wheel_travel_over_end_travel = "1.54"  # independent: motion ratio of the bar, the other way round
# end_rate = "43 N/mm"  # force at the ends over the travel of one end relative to the other
# roll_stiffness = "480 N m/deg"  # couple over the roll angle between body and axle, bar alone
# wheel_rate = "11 N/mm"  # force at each wheel over left minus right travel: one wheel lifted, the other held
# over_spring_roll_stiffness = "60 %"  # bar over the axle's springs, both in roll

# [front.auxiliary_roll]  # what resists roll besides springs and bar and stays when it is released: bushings, arms
# stiffness = "60 N m/deg"  # couple over the roll angle; or one of the next two
# wheel_rate = "1.4 N/mm"  # force at each wheel over left minus right travel
# over_springs = "10 %"  # the couple over that of the axle's springs
# doubles_at = "250 mm"  # left minus right travel at which rubber that binds has doubled it; never if not given

# [[front.wheelhouse]]  # points of arch and liner, measured at the wheel at ride height; as many as you like
# name = "liner, rear seam"  # what it is
# clock = "10:30"  # at the wheel, on either side: 12 at the top, 3 forward, 9 rearward
# distance = "480 mm"  # from the hub centre, square to the axle
# inboard = "110 mm"  # depth inboard of the tyre's centre plane; negative outboard
# wheel = "straight"  # how the wheel stood: "straight", or at full lock "turned in" (front edge in), "turned out"

# [front.tyre]  # where the tyres of this axle differ; any key of [tyre]
# pressure = "30 psi"

[rear]
suspension = "solid"
links = "four or five links"  # solid: or "radius arms", "leaves"; sets the auxiliary roll stiffness assumed
track = "1580 mm ± 3 mm"
unsprung_mass = "205 kg ± 25 kg"
roll_centre_above_hub = "40 mm ± 60 mm"  # solid: height of the roll centre above the hub line
arch_gap = "150 mm"
anti_roll_bar = true  # there is one, and nothing more is known of it

[rear.travel]
counted = "to full bump"  # from the brochure
total = "230 mm ± 5 mm"
bump_share = "44 %"

[rear.auxiliary_roll]
over_springs = "20 to 60 %"

[rear.spring]
wheel_rate = "34 N/mm ± 3 %"
spacing = "980 mm"  # solid axle: distance between the left and the right spring
# spacing_over_track = "62 %"  # solid axle: the same as a share of the track

[rear.bump_stop]  # at the stop for a solid axle
spacing = "940 mm"  # solid axle: distance between the left and the right stop

[rear.droop_stop]
spacing = "1010 mm"  # solid axle: distance between the left and the right damper
# A bar on a solid axle has, in place of the motion ratio:
# anti_roll_bar.end_spacing = "1020 mm"  # solid axle: distance between the two bar ends
# anti_roll_bar.end_spacing_over_track = "65 %"  # solid axle: the same as a share of the track

# [rear.twist_beam]  # with suspension = "twist beam", instead of a swing arm; such an axle has no bar of its own
# bush_spacing = "1.1 m"  # distance between the left and the right bush
# bush_to_hub = "430 mm"  # along the vehicle from bush to hub
# bush_to_beam = "150 mm"  # along the vehicle from bush to the beam's shear centre

# [cross_link]  # or cross_link = true: bars linked across the vehicle, stiff in roll and free in warp
# roll_stiffness = "500 N m/deg"  # couple over the roll angle of the body, both axles together
# wheel_rate = "3 N/mm"  # force at each wheel over the sum of both axles' left minus right travel
# over_spring_roll_stiffness = "150 %"  # link over the springs of both axles, both in roll

[drive]  # which wheels drive on the ramp; left out, nothing is said of wheelspin
driven_wheels = "all"  # "front", "rear" or "all"
front_differential = "open"  # "open", "limited slip", "locked", or "held by brakes" that hold the wheel that spins
# front_bias_ratio = "2.5"  # limited slip: torque of the wheel that grips over that of the one that spins
rear_differential = "locked"  # of the rear axle, in the same words
# rear_bias_ratio = "2.5"  # the same of the rear axle
centre = "locked"  # "open", or "locked" where front and rear turn together; "none" where one axle drives
# centre_front_share = "40 %"  # of the torque, through an open centre

[[load]]  # added to the weighed vehicle; as many as needed
name = "driver"  # each its own
mass = "85 kg ± 5 kg"
behind_front_axle = "1.45 m"  # of its centre of gravity
left_of_centre = "370 mm"  # negative: right
height = "0.95 m"  # above the ground, vehicle at ride height

[[body_point]]  # a point of the bodywork that may meet the ramp; as many as needed
name = "front bumper, lower left corner"  # each its own
behind_front_axle = "-720 mm"  # negative: ahead of the front axle
left_of_centre = "610 mm"
height = "430 mm"
"""


def template(*, minimal: bool = False) -> str:
    """The text of a vehicle file that runs as it is: every key with its line, or the minimal one."""
    return _MINIMAL if minimal else _FULL
