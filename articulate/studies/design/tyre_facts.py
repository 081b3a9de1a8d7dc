"""What a tyre's size code, load and pressure say: diameter, stiffness and loaded radius, with their ranges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.spec import Estimate
from articulate.spec.defaults import (
    STIFFNESS_FACTOR,
    STIFFNESS_FACTOR_CROSS_PLY,
    TYRE_AREAL_MASS,
    nominal_diameter,
    nominal_width,
)
from articulate.spec.tyres import LOAD_RANGES, TyreSize, loaded_radius, tyre_mass, vertical_stiffness
from articulate.studies.population.intervals import Interval, interval
from articulate.studies.population.sampling import SEED, quantile, unit_points

Array = NDArray[np.float64]

POINTS = 1024
AIRED_DOWN = (1.0, 0.8, 0.65, 0.5, 0.35)  # of the road pressure


@dataclass(frozen=True)
class AtPressure:
    """A tyre under its load at one pressure."""

    pressure: float  # [Pa]
    stiffness: Interval  # [N/m]
    deflection: Interval  # [m]
    loaded_radius: Interval  # [m]
    change: Interval  # [m], of the loaded radius against the first pressure


@dataclass(frozen=True)
class TyreFacts:
    """A tyre from its code; ranges are the central 90 %."""

    size: TyreSize
    diameter: Interval  # [m], expected unloaded, or as measured
    measured: bool  # whether the diameter was measured
    width: Interval  # [m]
    mass: Interval  # [kg], by a rule of thumb
    load: float  # [N], on one tyre
    rated_pressure: float  # [Pa], at which the load range holds its rated load; NaN where the code has none
    pressures: tuple[AtPressure, ...]


def tyre_facts(
    size: TyreSize,
    load: float,
    pressure: float,
    pressures: Sequence[float] | None = None,
    measured_diameter: Estimate | None = None,
    seed: int = SEED,
) -> TyreFacts:
    """Facts about one tyre.

    Args:
        size: from its code.
        load: on the tyre [N].
        pressure: on the road [Pa].
        pressures: at which the loaded radius is asked; the road pressure and aired down from it if None [Pa].
        measured_diameter: unloaded, goes before the nominal one [m].
        seed: of the sample behind the ranges.

    Returns:
        `TyreFacts`. Where a tyre would be pressed flat the loaded radius is NaN.
    """
    asked = tuple(pressures) if pressures is not None else tuple(pressure * share for share in AIRED_DOWN)
    diameter = measured_diameter or nominal_diameter(size.form, size.diameter, size.code)
    estimates = (
        diameter,
        nominal_width(size.form, size.width, size.code),
        (STIFFNESS_FACTOR if size.radial else STIFFNESS_FACTOR_CROSS_PLY).estimate(),
        TYRE_AREAL_MASS[size.heavy].estimate(),
    )
    unit = unit_points(POINTS, len(estimates), seed)
    # The nominal tyre first, then the possible ones.
    d, w, factor, areal = (
        np.concatenate([[estimate.value], quantile(estimate, unit[:, column])])
        for column, estimate in enumerate(estimates)
    )

    def at(value: float) -> tuple[Array, Array]:
        k = factor * vertical_stiffness(value, w, d, size.rim_diameter)
        return k, loaded_radius(d, load, k)

    first = at(asked[0])[1]
    rows = []
    for value in asked:
        k, radius = at(value)
        rows.append(
            AtPressure(
                value, _of(k), _of(np.where(np.isnan(radius), np.nan, load / k)), _of(radius), _of(radius - first)
            )
        )
    return TyreFacts(
        size=size,
        diameter=_of(d),
        measured=measured_diameter is not None,
        width=_of(w),
        mass=_of(tyre_mass(d, w, size.rim_diameter, areal)),
        load=load,
        rated_pressure=LOAD_RANGES[size.load_range][1] if size.load_range in LOAD_RANGES else float("nan"),
        pressures=tuple(rows),
    )


def _of(values: Array) -> Interval:
    return interval(float(values[0]), values[1:])
