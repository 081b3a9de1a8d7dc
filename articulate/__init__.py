"""Predicts how far an off-road vehicle climbs a ramp before a wheel unloads, and says why."""

__version__ = "0.2.0"
