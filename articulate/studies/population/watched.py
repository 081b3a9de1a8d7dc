"""What of a vehicle's body its climbs watch, from its file."""

from __future__ import annotations

from articulate.spec import Bodywork, VehicleSpec, build_bodywork
from articulate.trace import RAMP_WIDTH, Watched, named_points


def watched_of(spec: VehicleSpec) -> Watched:
    """Arch gaps and named points of the nominal vehicle of a file.

    Raises:
        UnphysicalError: no vehicle can be so.
    """
    return watched_on(build_bodywork(spec))


def watched_on(body: Bodywork, ramp_width: float = RAMP_WIDTH) -> Watched:
    """The same of a batch of one; `ramp_width` is that of the lane it climbs on [m]."""
    return Watched(body.arch_gap, named_points(body.point_names, body.points[0]), ramp_width)
