"""Vehicles of the finite-angle reference that hang on their stops, so that travel alone decides."""

from dataclasses import replace

import numpy as np

from tests.closed_forms.finite_angle import Axle, Vehicle

INDEPENDENT = Axle(arm=0.55, pivot=-0.04, bump_gap=0.07, droop_gap=0.09, bar=0.0)
SOLID = Axle(
    solid=True, pivot=0.1, bump_gap=0.06, droop_gap=0.08, bump_half_base=0.42, droop_half_base=0.5, bar=0.0,
    spring_half_base=0.3,
)  # fmt: skip
KINDS = {"independent": INDEPENDENT, "solid": SOLID}


def held_by_its_stops(front, rear, softness, behind=1.2):
    """Springs of rate 4000 softness N/m; tyres and stops of rate 10^6 / softness N/m."""
    axles = [
        replace(
            axle, track=track, rate=4e3 * softness, tyre_rate=1e6 / softness, bump_rate=1e6 / softness,
            droop_rate=1e6 / softness,
        )
        for axle, track in ((KINDS[front], 1.6), (KINDS[rear], 1.56))
    ]  # fmt: skip
    return Vehicle(axles=tuple(axles), height=0.3, behind=behind)


def carrier_coordinates(axle, left_raised):
    """Suspension coordinates of an axle on the stops of the warp."""
    if axle.solid:
        turn = np.arcsin((axle.bump_gap + axle.droop_gap) / (axle.bump_half_base + axle.droop_half_base))
        slide = axle.bump_gap - axle.bump_half_base * np.sin(turn) - axle.pivot * (1 - np.cos(turn))
        return [slide, turn if left_raised else -turn]
    angles = [
        np.arctan2(axle.pivot, axle.arm) + np.arcsin((travel - axle.pivot) / np.hypot(axle.arm, axle.pivot))
        for travel in (axle.bump_gap, -axle.droop_gap)
    ]
    return angles if left_raised else angles[::-1]
