"""Where a tyre's arch, or a spacer that keeps it clear, ends bump travel before the file's bump stop does."""

from __future__ import annotations

from articulate.output.units import MILLIMETRES_FIRST, Lengths
from articulate.spec import VehicleSpec, build, build_bodywork
from articulate.types import AXLES

NOTICED = 0.5e-3  # [m]


def arch_first(spec: VehicleSpec, lengths: Lengths = MILLIMETRES_FIRST) -> list[str]:
    """A sentence for each axle on which the nominal bump gap is less than that of the file's stop; often none."""
    built, stop = build(spec).bump_gap[0], build_bodywork(spec).stop_gap[0]
    said = []
    for k, axle in enumerate(AXLES):
        if stop[k] - built[k] > NOTICED:
            spaced = spec.axles[k].stops_spaced
            what = "a spacer that keeps the tyre clear of its arch" if spaced else "the tyre's arch"
            said.append(
                f"{axle}: {what} comes first, at {lengths.one(float(built[k]))} of the stop's travel; the stop's own "
                f"{lengths.one(float(stop[k]))} is not reached, so more {axle}.travel.bump does nothing"
            )
    return said
