"""The worked page of DEVELOPERS: its table is the model's, and its sums are done here by hand, by statics alone."""

import re
from pathlib import Path

import numpy as np
import pytest

from articulate.prediction import predict
from articulate.spec import build, load_vehicle

PAGE = Path("DEVELOPERS.md").read_text(encoding="utf-8").partition("### The balance, worked")[2].partition("###")[0]
ANGLE, HOLDING_SHARE = np.radians(20.0), 0.5


@pytest.fixture(scope="module")
def table():
    rows = re.findall(r"^\| (front left|front right|rear left|rear right|centre).*", PAGE, re.MULTILINE)
    assert len(rows) == 5
    lines = [line for line in PAGE.splitlines() if re.match(r"\| (front|rear|centre)", line)]
    return [[float(cell) for cell in line.split("|")[2:-1] if cell.strip()] for line in lines]


def test_the_page_shows_what_the_model_finds(table):
    run = predict(build(load_vehicle("vehicle_specs_demo/wagon.toml"))).connected
    last = run.trace.measures
    for wheel in range(4):
        np.testing.assert_allclose(table[wheel][:3], last.contact[-1, wheel], atol=6e-5)
        assert table[wheel][3] == pytest.approx(run.wheel_load[wheel], abs=0.06)
    np.testing.assert_allclose(table[4][:3], last.mass_centre[-1], atol=6e-5)
    assert run.holding_share == HOLDING_SHARE


def test_three_equations_hold_by_hand(table):
    contacts, (x, y, _, weight) = table[:4], table[4]
    factor = np.cos(ANGLE) + HOLDING_SHARE * np.tan(ANGLE) * np.sin(ANGLE)
    assert contacts[0][4] == pytest.approx(factor * contacts[0][3], abs=0.1)
    assert sum(row[4] for row in contacts) == pytest.approx(weight, abs=0.2)
    assert sum(row[1] * row[4] for row in contacts) == pytest.approx(y * weight, abs=2.0)
    level = contacts[0][3] * (HOLDING_SHARE * np.cos(ANGLE) * np.tan(ANGLE) - np.sin(ANGLE))
    assert level == pytest.approx(-1682.6, abs=0.1)
    about_toe = sum(row[0] * row[4] for row in contacts) - contacts[0][2] * level
    assert about_toe == pytest.approx(x * weight, abs=2.0)
