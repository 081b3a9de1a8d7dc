"""Vehicles of the published results changed on purpose: a default tried, or a control that must fail."""

from __future__ import annotations

from collections.abc import Sequence

from articulate.spec import VehicleSpec, with_settings
from articulate.types import AXLES

from .holding import Change


def in_turn(changes: Sequence[Change]) -> Change:
    """One change after the other."""

    def change(spec: VehicleSpec) -> VehicleSpec:
        for one in changes:
            spec = one(spec)
        return spec

    return change


def with_keys(settings: Sequence[tuple[str, str]]) -> Change:
    """A change of every vehicle that has what the key describes: no bar is fitted where there is none."""

    def change(spec: VehicleSpec) -> VehicleSpec:
        fitted = {axle for axle, choices in zip(AXLES, spec.axles, strict=True) if choices.bar_fitted}
        return with_settings(
            spec, [(key, v) for key, v in settings if ".anti_roll_bar." not in key or key.partition(".")[0] in fitted]
        )

    return change


def first_defaults(spec: VehicleSpec) -> VehicleSpec:
    """As first assumed, a control that must fail: soft bars, no auxiliary roll stiffness, no bumper in the bump travel.

    Bars over the springs' roll stiffness: 80 % (30 to 150) solid, 50 % (20 to 100) independent.
    """
    shares = {"solid": ("80 %", "30 to 150 %"), "independent": ("50 %", "20 to 100 %")}
    settings = []
    for axle, choices in zip(AXLES, spec.axles, strict=True):
        settings.append((f"{axle}.auxiliary_roll.over_springs", "0 %"))
        settings.append((f"{axle}.travel.counted", "to first touch"))
        if choices.bar_fitted:
            value, limits = shares[choices.suspension]
            key = f"{axle}.anti_roll_bar.over_spring_roll_stiffness"
            settings.append((key, f'{{ value = "{value}", range = "{limits}" }}'))
    return with_settings(spec, settings)


def driven(centre: str) -> Change:
    """All wheels driven through open axle differentials, the centre `locked` or `open`: supposed, not published."""
    settings = [("drive.driven_wheels", "all"), ("drive.centre", centre)]
    settings += [(f"drive.{axle}_differential", "open") for axle in AXLES]
    if centre == "open":
        settings.append(("drive.centre_front_share", "50 %"))
    return with_keys(settings)
