"""The explorer's grid: its interpolation against closed forms, its nodes against single predictions."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import articulate.studies.design.grid as design_grid
from articulate.climb import climb_to_unload as climb
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.design.grid import explorer_grid, interpolated, scores_of
from articulate.studies.population.conditions import BOTH_BAR_STATES, Conditions
from articulate.types import Case

WAGON = load_vehicle(Path("vehicle_specs_demo/wagon.toml"))


@pytest.fixture(scope="module")
def grid():
    return explorer_grid(WAGON, Conditions(), BOTH_BAR_STATES, sliders=3, checks=64)


def test_interpolation_is_exact_for_what_is_linear_in_each_direction():
    x, y, z = np.meshgrid(np.linspace(0, 1, 4), np.linspace(0, 1, 3), np.linspace(0, 1, 5), indexing="ij")

    def function(x, y, z):
        return 3.0 + x - 2.0 * y + 5.0 * x * y * z

    at = np.random.default_rng(1).random((50, 3))
    found = interpolated(function(x, y, z), at)
    assert found == pytest.approx(function(*at.T), abs=1e-12)
    edges = np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0], [1.0, 0.0, 0.5]])
    assert interpolated(function(x, y, z), edges) == pytest.approx(function(*edges.T), abs=1e-12)


def test_a_parabola_is_missed_by_what_calculus_says():
    # Largest error of linear interpolation of x^2 on steps h: h^2/4, half way (derived).
    nodes = np.linspace(0.0, 1.0, 5)
    middle = interpolated(nodes**2, np.array([[0.125]]))[0]
    assert middle - 0.125**2 == pytest.approx(0.25**2 / 4.0)


def test_a_hole_in_the_grid_spoils_only_its_own_cells():
    values = np.arange(5.0)
    values[4] = np.nan
    found = interpolated(values, np.array([[0.74], [0.75], [0.76], [1.0]]))
    assert found[:2] == pytest.approx([2.96, 3.0])
    assert np.isnan(found[2:]).all()


def test_nodes_are_predictions_of_the_changed_vehicle(grid):
    rng = np.random.default_rng(3)
    for _ in range(4):
        node = tuple(int(rng.integers(0, len(slider.values))) for slider in grid.sliders)
        samples = {s.key: np.array([s.values[k]]) for s, k in zip(grid.sliders, node, strict=True)}
        found = predict(build(WAGON, samples))
        for row, run in enumerate((found.connected, found.released)):
            assert grid.score[(row, *node)] == pytest.approx(run.score, abs=1e-3)
            assert grid.wheel[(row, *node)] == run.wheel


def test_the_file_s_own_vehicle_is_a_point_of_the_grid(grid):
    found = predict(build(WAGON))
    node = tuple(slider.values.index(slider.nominal) for slider in grid.sliders)
    for row, run in enumerate((found.connected, found.released)):
        assert grid.score[(row, *node)] == pytest.approx(run.score, abs=1e-3)
    assert all(list(slider.values) == sorted(slider.values) for slider in grid.sliders)


def test_the_error_shown_bounds_that_of_other_points(grid):
    other = np.random.default_rng(9).random((200, len(grid.sliders)))
    samples = {s.key: s.at(other[:, i]) for i, s in enumerate(grid.sliders)}
    solved, _ = scores_of(WAGON, Conditions(), samples, BOTH_BAR_STATES)
    for row, error in enumerate(grid.errors):
        off = np.abs(interpolated(grid.score[row], other) - solved[row])
        assert error.points == 64
        assert 0.8 < np.mean(off <= error.typical) <= 1.0
        assert off.max() < 2.0 * error.largest


def test_sliders_are_the_inputs_that_move_the_score_most(grid):
    swings = [slider.swing for slider in grid.sliders]
    assert swings == sorted(swings, reverse=True)
    first = grid.sliders[0]
    ends = [predict(build(WAGON, {first.key: np.array([value])})) for value in (first.values[0], first.values[-1])]
    by_bars = [
        abs(ends[1].connected.score - ends[0].connected.score),
        abs(ends[1].released.score - ends[0].released.score),
    ]
    assert first.swing == pytest.approx(max(by_bars), abs=0.01)


def test_a_run_on_the_right_names_its_own_wheels():
    _, left = scores_of(WAGON, Conditions(), {"wheelbase": np.array([2.85])}, [Case("left")])
    _, right = scores_of(WAGON, Conditions(), {"wheelbase": np.array([2.85])}, [Case("right")])
    assert (left[0, 0], right[0, 0]) == (2, 3)


def test_what_is_alike_is_climbed_once(monkeypatch):
    """With its bars released a vehicle is the same whatever its bars were; its score is that of a climb of its own."""
    climbed = []
    monkeypatch.setattr(
        design_grid, "climb_to_unload", lambda vehicles, test: climbed.append(vehicles.lanes) or climb(vehicles, test)
    )
    key = "front.anti_roll_bar.diameter"
    thick = WAGON.inputs[key].value * np.array([0.9, 1.0, 1.0, 1.1])
    score, wheel = scores_of(WAGON, Conditions(), {key: thick}, BOTH_BAR_STATES)
    assert climbed == [3 + 1]
    assert np.unique(score[0]).size == 3
    assert np.unique(score[1]).size == 1
    for place, diameter in enumerate(thick):
        alone = predict(build(WAGON, {key: np.array([diameter])}))
        assert score[:, place] == pytest.approx([alone.connected.score, alone.released.score], abs=1e-3)
        assert wheel[:, place].tolist() == [alone.connected.wheel, alone.released.wheel]
