"""The points are those of scipy, to the bit."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import qmc

from articulate.studies.population.sobol import MOST_DIMENSIONS, scrambled_sobol, sobol_blocks


@pytest.mark.parametrize("dimensions", [1, 2, 41, MOST_DIMENSIONS, MOST_DIMENSIONS + 1])
@pytest.mark.parametrize("exponent", [0, 1, 9])
def test_points_are_those_of_scipy(dimensions, exponent):
    for seed in (20, 3):
        expected = qmc.Sobol(dimensions, rng=np.random.default_rng(seed)).random_base2(exponent)
        np.testing.assert_array_equal(scrambled_sobol(exponent, dimensions, seed), expected)


@pytest.mark.parametrize("dimensions", [5, MOST_DIMENSIONS + 1])
@pytest.mark.parametrize("exponent", [0, 3])
def test_blocks_one_after_the_other_are_the_whole(dimensions, exponent):
    block = sobol_blocks(exponent, dimensions, 20)
    whole = np.concatenate([block(number) for number in range(2 ** (5 - exponent))])
    np.testing.assert_array_equal(whole, qmc.Sobol(dimensions, rng=np.random.default_rng(20)).random_base2(5))


def test_drawing_a_population_imports_no_statistics_package():
    code = (
        "import sys; from articulate.studies.population.sampling import unit_points; "
        "unit_points(8, 3); print('scipy.stats' in sys.modules)"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "False"
