"""Options that describe the ramp test, shared by the commands that make vehicles climb."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from articulate.cli.app import quantity, stop

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest

RampAngle = Annotated[str, typer.Option(help="5 to 35 deg.")]
Side = Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")]
TouchLoad = Annotated[str, typer.Option(help="Load at which a wheel counts as unloaded.")]
HoldingShare = Annotated[float, typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1.")]
RampLength = Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")]


def ramp_conditions(
    ramp_angle: str = "20 deg",
    side: str = "left",
    touch_load: str = "0 N",
    holding_share: float = 0.5,
    ramp_length: str | None = None,
) -> RampTest:
    """The conditions of one climb, or stop with everything that is wrong with the options."""
    import math

    from articulate.model.ramp_test import ramp_test
    from articulate.prediction import SIDES

    faults = []
    angle = quantity("--ramp-angle", ramp_angle, "ANGLE")
    touch = quantity("--touch-load", touch_load, "FORCE")
    length = quantity("--ramp-length", ramp_length, "LENGTH") if ramp_length is not None else math.inf
    if not math.radians(5.0) - 1e-9 <= angle <= math.radians(35.0) + 1e-9:
        faults.append(f"--ramp-angle {ramp_angle}: outside 5 to 35 deg; the usual ramp is '20 deg'")
    if side not in SIDES:
        faults.append(f"--side {side}: not a side; left or right")
    if not 0.0 <= holding_share <= 1.0:
        faults.append(f"--holding-share {holding_share}: outside 0 to 1; 0.5 is the default")
    if touch < 0.0:
        faults.append(f"--touch-load {touch_load}: negative; '0 N' is the ideal score, a film needs 10 to 50 N")
    if length <= 0.0:
        faults.append(f"--ramp-length {ramp_length}: not positive; measure along the slope, e.g. '10 ft'")
    if faults:
        stop("\n".join(faults))
    return ramp_test(1, angle, holding_share, touch, length)
