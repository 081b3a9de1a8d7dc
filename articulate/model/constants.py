"""Physical constants of the model."""

STANDARD_GRAVITY = 9.80665  # [m/s^2], exact by convention (CGPM 1901)
