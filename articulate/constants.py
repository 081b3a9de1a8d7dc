"""Numbers that are exact by definition, each said once."""

import math

STANDARD_GRAVITY = 9.80665  # [m/s^2] (CGPM 1901)
INCH = 0.0254  # [m]
DEGREE = math.pi / 180.0  # [rad]
NORMAL_90 = 1.6448536269514722  # half-width of the central 90 % of a standard normal distribution
