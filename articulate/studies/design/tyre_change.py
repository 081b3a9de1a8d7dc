"""Other tyres on a vehicle, with all that hangs on them.

A new tyre leaves the hub where it is relative to the body. The body rises by the change in loaded radius; size and
pressure give the new stiffness; its mass goes onto the axle; the arch comes nearer. Spacers lower the bump stop so that
nothing rubs, if they are asked for.
"""

from __future__ import annotations

from typing import Any

from articulate.spec import VehicleSpec, with_settings
from articulate.spec.defaults import TYRE_AREAL_MASS
from articulate.spec.errors import QuantityError
from articulate.spec.tyres import TyreSize, read_tyre_size, tyre_mass
from articulate.types import AXLES

MAKE_TO_MAKE = 0.12  # share of its mass by which a tyre of one size differs from make to make; value from memory


def tyre_tables(spec: VehicleSpec) -> tuple[str, ...]:
    """The tables that describe the tyres fitted: `tyre`, or those of the axles that have their own."""
    own = [f"{axle}.tyre" for axle in AXLES if f"{axle}.tyre.diameter" in spec.inputs]
    return tuple(own) if len(own) == len(AXLES) else ("tyre", *own)


def fitted_size(spec: VehicleSpec, table: str) -> TyreSize | None:
    """The size code of a tyre table, where the file gives one."""
    code: Any = spec.document.at((*table.split("."), "size"))
    return read_tyre_size(code) if isinstance(code, str) else None


def same_tyre(fitted: TyreSize, size: str) -> bool:
    """Whether a size code says the same tyre, however it is spelt; False for what is no size code."""
    try:
        new = read_tyre_size(size)
    except QuantityError:
        return False
    return (new.diameter, new.width, new.rim_diameter, new.heavy) == (
        fitted.diameter,
        fitted.width,
        fitted.rim_diameter,
        fitted.heavy,
    )


def has_arches(spec: VehicleSpec, axle: str) -> bool:
    """Whether the file says anything of an axle's arches."""
    return any(f"{axle}.{key}" in spec.inputs for key in ("arch_gap", "arch_gap_at_full_lock")) or bool(
        spec.axles[AXLES.index(axle)].wheelhouse
    )


def change_tyres(
    spec: VehicleSpec, size: str | None = None, pressure: str | None = None, spacers: bool | None = None
) -> VehicleSpec:
    """The vehicle on other tyres.

    Args:
        spec: the vehicle; it is left as it is.
        size: size code of the new tyres, for all axles; those fitted if None.
        pressure: of the new tyres, such as `30 psi`; as it was if None.
        spacers: True fits spacers that keep the tyre clear on each axle whose arches are described, False takes them
            out of the policy and leaves the stops as fitted, None leaves it as the file has it.

    Returns:
        The vehicle resolved anew. The mass of the tyre enters by a rule of thumb with a wide range, marked as assumed.

    Raises:
        SpecError: not a size code, or a vehicle that cannot be.
    """
    settings: list[tuple[str, str]] = []
    for table in tyre_tables(spec):
        fitted = fitted_size(spec, table)
        if size is not None and (fitted is None or not same_tyre(fitted, size)):
            settings += _mass_change(spec, table, fitted, size)
            settings.append((f"{table}.size", size))
        if pressure is not None:
            settings.append((f"{table}.pressure", pressure))
    if spacers is not None:
        word = "to keep clear" if spacers else "as fitted"
        settings += [(f"{axle}.bump_stop.spacer", word) for axle in AXLES if has_arches(spec, axle)]
    return with_settings(spec, settings) if settings else spec


def _mass_change(spec: VehicleSpec, table: str, fitted: TyreSize | None, size: str) -> list[tuple[str, str]]:
    """The tyre's mass against that of the one before, from the area of tread and sidewalls."""
    diameter, width, rim = (spec.inputs.get(f"{table}.{name}") for name in ("diameter", "width", "rim_diameter"))
    try:
        new = read_tyre_size(size)
    except QuantityError:
        return []  # the setting of the size reports it
    if diameter is None or width is None or rim is None:
        return []
    quality = TYRE_AREAL_MASS[new.heavy].value
    was = TYRE_AREAL_MASS[fitted.heavy if fitted else new.heavy].value
    mass = float(tyre_mass(new.diameter, new.width, new.rim_diameter, quality))
    old = float(tyre_mass(diameter.value, width.value, rim.value, was))
    known = spec.inputs.get(f"{table}.mass_change")
    change = mass - old + (known.value if known else 0.0)
    spread = 0.2 * abs(mass - old) + MAKE_TO_MAKE * mass
    text = (
        f'{{ value = "{change:.1f} kg", range = ["{change - spread:.1f} kg", "{change + spread:.1f} kg"], '
        'source = "assumed", basis = "area of tread and sidewalls, not checked against a source" }'
    )
    return [(f"{table}.mass_change", text)]
