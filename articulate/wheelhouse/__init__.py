"""Tyre against bodywork: tyre shape, wheel motion, what a wheelhouse leaves of the bump travel, ramp angles.

NumPy and SI only; knows no vehicle files. The frame of a corner has its origin at the hub centre at ride height,
wheel straight ahead: x forward, y outboard, z up, so that both sides of a vehicle read alike.
"""

from __future__ import annotations

from articulate.wheelhouse.angles import RampAngles, ramp_angles
from articulate.wheelhouse.motion import CornerMotion, steer_angles
from articulate.wheelhouse.stops import StopLayout, bump_gap_for, full_bump_travel, stop_compression
from articulate.wheelhouse.sweep import arch_gaps, clearance_at, clock_points, least_arch_gap
from articulate.wheelhouse.tyre_shape import TyreShape, tyre_distance

__all__ = [
    "CornerMotion",
    "RampAngles",
    "StopLayout",
    "TyreShape",
    "arch_gaps",
    "bump_gap_for",
    "clearance_at",
    "clock_points",
    "full_bump_travel",
    "least_arch_gap",
    "ramp_angles",
    "steer_angles",
    "stop_compression",
    "tyre_distance",
]
