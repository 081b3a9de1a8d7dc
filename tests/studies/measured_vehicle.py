"""A vehicle whose roll was measured, as a file."""

from __future__ import annotations

# Facts of the vehicle measured by an agency's laboratory: Salaani and Heydinger, SAE 2000-01-0700, the curves digitised
# by others (second-hand). Height of the centre of gravity and mass are estimates. What is not here is assumed by us.
MEASURED_VEHICLE = """
name = "Compact utility vehicle, solid axles"
construction = "body on frame"
wheelbase = "2576 mm"
mass.total = "1700 kg ± 50 kg"
mass.centre_of_gravity_height = "690 mm ± 20 mm"
tyre.size = "225/75R15"
tyre.pressure = "33 psi"

[front]
suspension = "solid"
track = "1496 mm"
roll_centre_above_hub = "43 mm"
spring.wheel_rate = "25 to 31.5 N/mm"
spring.spacing = "0.91 to 0.96 m"
anti_roll_bar = true

[rear]
suspension = "solid"
track = "1476 mm"
spring.kind = "leaf"
spring.wheel_rate = "19 to 25 N/mm"
spring.spacing = "1100 mm"
anti_roll_bar = false
"""
