"""What the wheelhouse leaves of the bump travel: stop compression, hub travel at full bump, the gap to fit.

Full bump is the stop pressed with the static load of its spring. On an independent axle the hub has then travelled the
gap g and the compression D. On a solid axle the wheel goes furthest when the axle is crossed: one side on its stop
(half base b), the other hanging on its damper (half base b_d, gap d); the axle's turn q and the hub travel are

    sin q = (g + D + d)/(b + b_d),      U = g + D + (H - b) sin q,

exact for finite angles, H half the track. A usable bump gap for a clearance kept is then

    usable gap = min(stop gap, gap with which U at full bump = arch gap - clearance kept),

over straight and full lock. (Counted at the stop's first touch, the clearance kept is that much larger.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class StopLayout(Brief):
    """Where the stops of one axle bear; arrays (lanes,) [m]."""

    solid: bool
    half_track: Array  # H
    bump_half_base: Array  # b, not read for an independent axle
    droop_half_base: Array  # b_d, likewise
    droop_gap: Array  # d, likewise


def stop_compression(force: Array, rate: Array, rate_cubic: Array) -> Array:
    """Compression D of a stop under a force: k1 D + k3 D^3 = F, its one real root.

    force [N], rate k1 > 0 [N/m], rate_cubic k3 >= 0 [N/m^3], any shapes that broadcast. Returns [m].
    D = 2 sqrt(p) sinh(asinh(q / p^1.5) / 3) with p = k1/(3 k3), q = F/(2 k3); F/k1 where k3 = 0.
    """
    cubic = np.where(rate_cubic > 0.0, rate_cubic, 1.0)
    p, q = rate / (3.0 * cubic), force / (2.0 * cubic)
    hard = 2.0 * np.sqrt(p) * np.sinh(np.arcsinh(q / p**1.5) / 3.0)
    return np.asarray(np.where(rate_cubic > 0.0, hard, force / rate))


def full_bump_travel(gap: Array, compression: Array, layout: StopLayout) -> Array:
    """Hub travel U at full bump (crossed, on a solid axle), (lanes,) [m]."""
    stop = gap + compression
    if not layout.solid:
        return stop
    turn = (stop + layout.droop_gap) / (layout.bump_half_base + layout.droop_half_base)
    return stop + (layout.half_track - layout.bump_half_base) * turn


def bump_gap_for(travel: Array, compression: Array, layout: StopLayout, travel_together: Array | None = None) -> Array:
    """Bump gap with which the hub travels just that far at full bump, (lanes,) [m]; negative where none does.

    Args:
        travel: hub travel allowed, on a solid axle crossed [m].
        compression: of the stop at full bump [m].
        layout: of the axle.
        travel_together: hub travel allowed to both wheels of a solid axle together, if that is another [m].
    """
    if not layout.solid:
        return travel - compression
    both, over = layout.bump_half_base + layout.droop_half_base, layout.half_track - layout.bump_half_base
    crossed = (travel * both - over * layout.droop_gap) / (both + over)
    together = travel if travel_together is None else travel_together
    return np.minimum(crossed, together) - compression
