"""Whole files against arrays worked out by hand from their text, with constants of this file's own."""

from __future__ import annotations

from math import pi
from pathlib import Path

import numpy as np
import pytest

from articulate.spec import build, load_vehicle

FOLDER = Path(__file__).parents[1] / "engine" / "vehicle_files"
IN, LB, G = 0.0254, 0.45359237, 9.80665
LB_IN = LB * G / IN  # [N/m] of one pound-force an inch


def arrays_agree(vehicles, expected):
    for name, value in expected.items():
        np.testing.assert_allclose(getattr(vehicles, name)[0], value, rtol=1e-12, atol=1e-12, err_msg=name)


def test_torsion_bars_and_leaves_in_inches_and_pounds():
    vehicles = build(load_vehicle(FOLDER / "torsion_bars.toml"))
    front, rear, unsprung_front, unsprung_rear = 2380 * LB, 1650 * LB, 230 * LB, 390 * LB
    wheelbase, total = 118.5 * IN, 4030 * LB
    sprung = total - unsprung_front - unsprung_rear
    radius, stiffness = 15.375 * IN, 1650 * LB_IN
    # moments of the whole less those of the unsprung masses at their hubs
    hub_front, hub_rear = radius - front * G / 2 / stiffness, radius - rear * G / 2 / stiffness
    behind = (rear - unsprung_rear) * wheelbase / sprung
    above = (total * 27.5 * IN - unsprung_front * hub_front - unsprung_rear * hub_rear) / sprung
    diameter, arm, reach, centre = 1.0625 * IN, 11 * IN, 9.75 * IN, 36 * IN
    polar = pi / 32 * diameter**4
    end = 1 / (reach**2 * centre / (79e9 * polar) + 2 * arm**3 / (3 * 205e9 * polar / 2))
    arrays_agree(
        vehicles,
        {
            "wheelbase": wheelbase,
            "track": (60 * IN, 60.5 * IN),
            "unsprung_mass": (unsprung_front, unsprung_rear),
            "sprung_mass": sprung,
            "sprung_centre": (behind, 0.5 * IN * total / sprung, above),
            "load_mass": 0.0,
            "tyre_radius": (radius, radius),
            "tyre_stiffness": (stiffness, stiffness),
            "tyre_section_radius": (5.125 * IN, 5.125 * IN),
            "solid": (False, True),
            "pivot_height": (-1.25 * IN, 2 * IN),
            "spring_rate": (1150 * LB_IN * 0.34**2, 165 * LB_IN),
            "spring_loose": (False, False),
            "bump_gap": (6.75 * IN * 0.44, 4.25 * IN),
            "droop_gap": (6.75 * IN * 0.56, 5 * IN),
            "bump_rate": (400 * LB_IN, 350 * LB_IN),
            "bump_rate_cubic": (20e9, 0.0),
            "droop_rate": (1700 * LB_IN, 1500 * LB_IN),
            "bar_rate": (end / 1.75**2, 0.0),
            "bar_releasable": (True, False),
            "frame_compliance": 0.0,
            "friction_force": (0.0, 0.0),
        },
    )
    assert vehicles.swing_arm[0, 0] == pytest.approx(32 * IN)
    bases = [getattr(vehicles, f"{what}_half_base")[0, 1] for what in ("spring", "bump", "droop")]
    assert bases == pytest.approx([21.5 * IN, 21.5 * IN, 0.39 * 60.5 * IN])


def test_air_springs_set_high():
    vehicles = build(load_vehicle(FOLDER / "air_springs.toml"))
    front, rear, wheelbase = 2410 * 0.51, 2410 * 0.49, 2.885
    sprung_front, sprung_rear = front - 140, rear - 150
    sprung = sprung_front + sprung_rear
    radius = 0.5 * (18 * IN + 2 * 0.60 * 0.255)
    hubs = radius - front * G / 2 / 285e3, radius - rear * G / 2 / 285e3
    behind = sprung_rear * wheelbase / sprung
    above = (2410 * 0.745 - 140 * hubs[0] - 150 * hubs[1]) / sprung
    raised = 0.035 + (0.025 - 0.035) * behind / wheelbase
    rates = 70e3 / 1.60**2, (2 * pi * 1.15) ** 2 * sprung_rear / 2
    arrays_agree(
        vehicles,
        {
            "sprung_mass": sprung,
            "sprung_centre": (behind, -0.009 * 2410 / sprung, above + raised),
            "tyre_radius": (radius, radius),
            "tyre_section_radius": (0.1275, 0.1275),
            "swing_arm": (1.1 * 1.605, 1.4),
            "pivot_height": (-0.030 + 0.035, 0.045 + 0.025),
            "spring_rate": rates,
            "spring_loose": (False, True),
            "bump_gap": (0.205 - 0.115 + 0.035, 0.105 + 0.025),
            "droop_gap": (0.115 - 0.035, 0.225 - 0.105 - 0.025),
            "bump_rate_cubic": (0.03e9, 0.02e9),
            # 1/2 k t^2 of the springs, k_b t^2 of the bar
            "bar_rate": (0.45 * rates[0] / 2, 60e3 * 0.55**2),
        },
    )
    # what each spring carries at ride height, from the arrays alone
    load = vehicles.reference_axle_load()[0] - vehicles.unsprung_mass[0] * G
    assert load / 2 == pytest.approx([sprung_front * G / 2, sprung_rear * G / 2])


def test_heights_measured_on_other_tyres():
    vehicles = build(load_vehicle(FOLDER / "taller_tyres.toml"))
    front, rear, wheelbase = 1040.0, 900.0, 2.620
    sprung_front, sprung_rear = front - 125, rear - 190
    sprung = sprung_front + sprung_rear
    psi = LB * G / IN**2 / 1000  # [kPa]

    def stiffness(pressure, width, diameter, rim):
        """The published estimate [N/m] with its millimetres and kilopascals; see the tyre tests for its source."""
        width, diameter, rim = width * 1000, diameter * 1000, rim * 25.4
        ratio = 100 * (diameter - rim) / 2 / width
        return (
            0.95
            * G
            * 1000
            * (0.00028 * pressure * np.sqrt((1.03 - 0.004 * ratio) * width * (width * ratio / 50 + rim)) + 3.45)
        )

    new_front, old_front = 16 * IN + 1.5 * 0.265, 16 * IN + 1.5 * 0.235
    new_rear, old_rear = 16 * IN + 1.5 * 0.285, 0.752
    k_front, k_front_then = stiffness(30 * psi, 0.265, new_front, 16), stiffness(30 * psi, 0.235, old_front, 16)
    # a bare diameter says nothing of width and rim: those of the tyre that is fitted
    k_rear, k_rear_then = stiffness(26 * psi, 0.285, new_rear, 16), stiffness(34 * psi, 0.285, old_rear, 16)
    loaded_then = (old_front / 2 - front * G / 2 / k_front_then, old_rear / 2 - rear * G / 2 / k_rear_then)
    loaded_now = (new_front / 2 - (front / 2 + 4) * G / k_front, new_rear / 2 - (rear / 2 + 6) * G / k_rear)
    rise = loaded_now[0] - loaded_then[0], loaded_now[1] - loaded_then[1]
    behind = sprung_rear * wheelbase / sprung
    height = (1.555 + 1.565) / 2 / 2 / 1.08
    above = (1940 * height - 125 * loaded_then[0] - 190 * loaded_then[1]) / sprung
    raised = rise[0] + (rise[1] - rise[0]) * behind / wheelbase
    arrays_agree(
        vehicles,
        {
            "unsprung_mass": (125 + 8, 190 + 12),
            "sprung_mass": sprung,
            "sprung_centre": (behind, 0.006 * 1940 / sprung, above + raised),
            "tyre_radius": (new_front / 2, new_rear / 2),
            "tyre_stiffness": (k_front, k_rear),
            "tyre_section_radius": (0.1325, 0.1425),
            "bar_rate": (330 * 180 / pi / 1.555**2, 25e3 * 0.65**2),
            "frame_compliance": pi / 180 / 9000,
            "bump_gap": (0.085, 0.090),
            "droop_gap": (0.090, 0.110),
        },
    )
    bases = [getattr(vehicles, f"{what}_half_base")[0, 1] for what in ("spring", "bump", "droop")]
    assert bases == pytest.approx([0.49, 0.30 * 1.565, 0.53])
    assert vehicles.reference_hub_height()[0] == pytest.approx(loaded_now)
