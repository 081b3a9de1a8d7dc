"""Figures of letters: what a line shows is what the run says; nothing where nobody reads it."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from articulate.model.ramp_test import ramp_test
from articulate.output.text.terminal_figures import BLOCKS, COLUMNS, band_figure, load_figure, writes_blocks
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band
from tests.terminals import ROOT, on_a_terminal

WAGON = "vehicle_specs_demo/wagon.toml"


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_letter_is_as_high_as_the_load(side):
    run = predict(build(load_vehicle(WAGON)), ramp_test(1), side).connected
    head, *lines = load_figure(run, side)
    assert len(lines) == 4
    order = [0, 1, 2, 3] if side == "left" else [1, 0, 3, 2]
    load = run.trace.measures.wheel_load[:, order]
    for wheel, line in enumerate(lines):
        assert len(line) <= 80
        drawn = line[14 : 14 + COLUMNS]
        heights = np.array([BLOCKS.find(letter) + 1 for letter in drawn])
        assert heights.size == COLUMNS
        ends = np.ceil(load[[0, -1], wheel] / load.max() * 8)
        assert heights[[0, -1]] == pytest.approx(ends)
        assert line.endswith(f"{run.wheel_load[wheel]:.0f} N")
    assert f"{load.max():.0f} N" in head
    plain = load_figure(run, side, blocks=False)
    assert all(line.isascii() for line in plain)


def test_bands_stand_on_one_scale():
    found = band(Population.of(load_vehicle(WAGON)), "left")
    head, *lines = band_figure(found.cases)
    low, high = (float(word) for word in head.split()[-2:])
    assert len(lines) == len(found.cases) == 2
    for case, line in zip(found.cases, lines, strict=True):
        assert len(line) <= 80
        step = (high - low) / (COLUMNS - 1)
        for letter, value in (("├", case.score.low), ("●", case.score.median), ("┤", case.score.high)):
            assert low + (line.index(letter) - 23) * step == pytest.approx(value, abs=0.51 * step)


@pytest.mark.parametrize(("encoding", "there"), [("utf-8", True), ("latin-1", False), (None, False), ("ascii", False)])
def test_terminals_without_the_letters_get_plain_ones(encoding, there):
    assert writes_blocks(encoding) == there


def test_a_person_sees_them_and_a_pipe_does_not():
    words = ("predict", WAGON)
    piped = subprocess.run([sys.executable, "-m", "articulate", *words], capture_output=True, text=True, check=True)
    assert "wheel loads from first touch" not in piped.stdout
    seen = on_a_terminal(words, ROOT)
    assert "wheel loads from first touch" in seen
    assert "█" in seen
