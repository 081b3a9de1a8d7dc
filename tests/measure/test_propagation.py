"""The propagation engine against published examples, closed forms and another library."""

from __future__ import annotations

import math

import GTC
import numpy as np
import pytest
from scipy.special import ndtri, stdtrit

from articulate.measure.propagation import (
    InputQuantity,
    coverage_factor,
    effective_dof,
    numerical_tolerance,
    propagate,
)
from articulate.measure.student import t_quantile

INF = math.inf


def one(measurand, inputs, **options):
    (found,) = propagate(measurand, inputs, **options)
    return found


def end_gauge():
    """JCGM 100:2008, H.1, seen in two libraries' test suites; lengths in nm, temperatures in degrees C."""
    half = math.sqrt(3.0)
    inputs = [
        InputQuantity("l_s", 50_000_623.0, 25.0, 18),
        InputQuantity("d_0", 215.0, 5.8, 24),
        InputQuantity("d_1", 0.0, 3.9, 5),
        InputQuantity("d_2", 0.0, 6.7, 8),
        InputQuantity("alpha", 11.5e-6, 2e-6 / half, INF, "rectangular"),
        InputQuantity("theta mean", -0.1, 0.2),
        InputQuantity("theta swing", 0.0, 0.5 / math.sqrt(2.0)),
        InputQuantity("d_alpha", 0.0, 1e-6 / half, 50, "rectangular"),
        InputQuantity("d_theta", 0.0, 0.05 / half, 2, "rectangular"),
    ]

    def length(x):
        theta = x["theta mean"] + x["theta swing"]
        stretch = x["d_alpha"] * theta + x["alpha"] * x["d_theta"]
        return x["l_s"] + x["d_0"] + x["d_1"] + x["d_2"] - x["l_s"] * stretch

    return length, inputs


def test_the_end_gauge_of_the_guide():
    found = one(*end_gauge(), coverage=0.99)
    assert round(found.value) == 50_000_838
    assert found.u == pytest.approx(31.66, abs=0.005)
    assert found.dof == pytest.approx(16.75, abs=0.005)
    # U99 = 93 nm, value from memory: the guide rounds to 16 degrees of freedom and u to 32 nm first.
    assert round(coverage_factor(0.99, 16) * 32.0) == 93
    # The guide leaves out the second order and what few degrees of freedom add, and the Monte Carlo takes both in.
    # Derived: variances of t are u^2 dof/(dof - 2); the products have (l_s u u)^2.
    by_t = sum(u**2 * dof / (dof - 2) for u, dof in ((25.0, 18), (5.8, 24), (3.9, 5), (6.7, 8)))
    u_alpha, u_d_alpha, u_d_theta = 2e-6 / math.sqrt(3.0), 1e-6 / math.sqrt(3.0), 0.05 / math.sqrt(3.0)
    theta = 0.1**2 + 0.2**2 + 0.5**2 / 2.0
    products = 50_000_623.0**2 * (u_d_alpha**2 * theta + (11.5e-6**2 + u_alpha**2) * u_d_theta**2)
    assert found.monte_carlo.u == pytest.approx(math.sqrt(by_t + products), rel=0.005)


def test_the_end_gauge_as_another_library_has_it():
    measurand, inputs = end_gauge()
    theirs = measurand({q.name: GTC.ureal(q.estimate, q.u, q.dof) for q in inputs})
    ours = one(measurand, inputs)
    assert ours.u == pytest.approx(theirs.u, rel=1e-9)
    assert ours.dof == pytest.approx(theirs.df, rel=1e-8)


def test_a_quotient_with_tolerance_limits():
    # EURACHEM/CITAC QUAM, example A1, seen: c = 1000 m P / V, the score's own shape.
    inputs = [
        InputQuantity("m", 100.28, 0.05),
        InputQuantity("P", 0.9999, 0.0001 / math.sqrt(3.0), shape="rectangular"),
        InputQuantity("V calibration", 100.0, 0.1 / math.sqrt(6.0), shape="triangular"),
        InputQuantity("V repeatability", 0.0, 0.02),
        InputQuantity("V temperature", 0.0, 0.084 / math.sqrt(3.0), shape="rectangular"),
    ]
    found = one(
        lambda x: 1000.0 * x["m"] * x["P"] / (x["V calibration"] + x["V repeatability"] + x["V temperature"]), inputs
    )
    assert found.value == pytest.approx(1002.70, abs=0.005)
    assert found.u == pytest.approx(0.835, abs=0.001)
    assert found.monte_carlo.u == pytest.approx(0.835, rel=0.005)
    assert sum(row.share for row in found.budget) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("shape", "half_width", "linear"),
    [
        ("normal", 3.92, 3.92),  # JCGM 101:2008, 9.2, seen
        ("rectangular", 2.0 * math.sqrt(3.0) * (2.0 - 0.6**0.25), 3.92),  # 3.88 there, seen; closed form derived
    ],
)
def test_sums_of_four(shape, half_width, linear):
    inputs = [InputQuantity(name, 0.0, 1.0, shape=shape) for name in "abcd"]
    found = one(lambda x: x["a"] + x["b"] + x["c"] + x["d"], inputs)
    assert found.u == pytest.approx(2.0)
    assert found.expanded == pytest.approx(linear, abs=0.001)
    assert 0.001 < found.monte_carlo.noise < 0.015
    assert found.monte_carlo.high == pytest.approx(half_width, abs=3.0 * found.monte_carlo.noise)
    assert found.monte_carlo.low == pytest.approx(-half_width, abs=3.0 * found.monte_carlo.noise)
    assert found.tolerance == pytest.approx(0.05)
    assert found.validated  # 3.92 and 3.88 differ by less than 0.05


def test_a_logarithm_where_the_linear_law_fails():
    # NPL DEM-ES-011, 9.2, seen: ln x, x uniform on (0.1, 1.1).
    found = one(lambda x: np.log(x["x"]), [InputQuantity("x", 0.6, 1.0 / math.sqrt(12.0), shape="rectangular")])
    assert found.value == pytest.approx(-0.511, abs=0.0005)
    assert found.u == pytest.approx(0.481, abs=0.0005)
    assert found.monte_carlo.mean == pytest.approx(-0.665, abs=0.005)
    assert found.monte_carlo.u == pytest.approx(0.606, abs=0.005)
    assert not found.validated
    assert found.low == found.monte_carlo.low  # the interval used is the one that holds
    assert "differs" in found.note


def test_both_read_to_an_eighth():
    # Derived: 62 in up and 94 in of wheelbase, both read to 1/8 in; u = resolution/sqrt(12).
    u = 0.125 / math.sqrt(12.0)
    inputs = [InputQuantity("s", 62.0, u, shape="rectangular"), InputQuantity("L", 94.0, u, shape="rectangular")]
    found = one(lambda x: 1000.0 * x["s"] / x["L"], inputs)
    assert found.value == pytest.approx(659.57, abs=0.005)
    assert found.u == pytest.approx(0.46, abs=0.005)


def test_what_two_outputs_share_cancels_in_their_difference():
    shared, own = InputQuantity("shared", 1.0, 0.5), [InputQuantity(name, 1.0, 0.1) for name in ("a", "b")]
    both, other, difference = propagate(
        lambda x: np.stack([x["shared"] + x["a"], x["shared"] + x["b"], x["a"] - x["b"]], axis=1), [shared, *own]
    )
    assert both.u == other.u == pytest.approx(math.hypot(0.5, 0.1))
    assert difference.u == pytest.approx(0.1 * math.sqrt(2.0))
    assert [row.quantity.name for row in difference.budget] == ["a", "b"]


def test_a_t_distributed_input_has_the_t_interval():
    found = one(lambda x: 3.0 * x["x"], [InputQuantity("x", 0.0, 2.0, 4)])
    # t quantile at 97.5 % and 4 degrees of freedom: 2.776, any table.
    assert found.coverage_factor == pytest.approx(2.776, abs=0.0005)
    assert found.monte_carlo.high == pytest.approx(6.0 * 2.776, rel=0.01)
    assert found.dof == pytest.approx(4.0)


def test_inputs_of_one_variance_do_not_double_its_degrees_of_freedom():
    inputs = [InputQuantity(name, 0.0, 1.0, 5, evaluated_together="repeats") for name in "ab"]
    together = one(lambda x: x["a"] + x["b"], inputs)
    assert together.dof == pytest.approx(5.0)
    uneven = [InputQuantity(n, 0.0, 1.0, dof, evaluated_together="repeats") for n, dof in (("a", 5), ("b", 9))]
    assert one(lambda x: x["a"] + x["b"], uneven).dof == pytest.approx(5.0)
    apart = one(lambda x: x["a"] + x["b"], [InputQuantity(name, 0.0, 1.0, 5) for name in "ab"])
    assert apart.dof == pytest.approx(10.0)
    # The sum is t with 5 degrees of freedom exactly, its scale sqrt(2).
    assert together.monte_carlo.high == pytest.approx(math.sqrt(2.0) * coverage_factor(0.95, 5), rel=0.01)


@pytest.mark.parametrize("skew", [0.0, 0.2, 0.5, 1.0])
def test_draws_of_a_triangle_have_its_moments(skew):
    found = one(lambda x: x["x"], [InputQuantity("x", 5.0, 0.7, shape="triangular", skew=skew)])
    assert found.monte_carlo.mean == pytest.approx(5.0, abs=0.005)
    assert found.monte_carlo.u == pytest.approx(0.7, rel=0.005)
    base = 0.7 * math.sqrt(18.0 / (1.0 - skew + skew**2))
    share = 0.025  # of a triangle below low + sqrt(share * skew) base, or from above
    low = 5.0 - base * (1.0 + skew) / 3.0
    at = math.sqrt(share * skew) if share < skew else 1.0 - math.sqrt((1.0 - share) * (1.0 - skew))
    assert found.monte_carlo.low == pytest.approx(low + base * at, abs=0.02)


@pytest.mark.parametrize(("u", "tolerance"), [(31.66, 0.5), (0.835, 0.005), (0.0994, 0.0005), (0.0996, 0.005)])
def test_numerical_tolerance(u, tolerance):
    # JCGM 101:2008, 7.9.2, value from memory: u = c x 10^l with two digits in c, tolerance 10^l / 2.
    assert numerical_tolerance(u) == pytest.approx(tolerance)


def test_welch_and_satterthwaite_of_equal_parts():
    assert effective_dof(np.array([1.0, 1.0]), np.array([3.0, 3.0])) == pytest.approx(6.0)
    assert effective_dof(np.array([1.0, 1.0]), np.array([3.0, INF])) == pytest.approx(12.0)
    assert effective_dof(np.array([1.0]), np.array([INF])) == INF


def test_same_seed_same_draws_and_no_moments_where_there_are_none():
    inputs = [InputQuantity("x", 0.0, 1.0, 2)]
    first, again = (one(lambda x: x["x"], inputs, seed=5).monte_carlo for _ in range(2))
    assert (first.low, first.high) == (again.low, again.high)
    assert math.isnan(first.u)
    assert one(lambda x: x["x"], inputs, seed=6).monte_carlo.low != first.low


def test_two_inputs_of_one_name_are_refused():
    twice = InputQuantity("a", 0.0, 1.0)
    with pytest.raises(ValueError, match="same name"):
        propagate(lambda x: x["a"], [twice, twice])


@pytest.mark.parametrize("dof", [1.0, 1.5, 2.0, 4.0, 5.37, 16.75, 50.0, 297.3, 9999.5, 2e5, 1e7, INF])
@pytest.mark.parametrize("coverage", [0.5, 0.6827, 0.9, 0.95, 0.99, 0.9973])
def test_coverage_factors_as_another_library_has_them(coverage, dof):
    share = 0.5 * (1.0 + coverage)
    theirs = stdtrit(dof, share) if math.isfinite(dof) else ndtri(share)
    assert coverage_factor(coverage, dof) == pytest.approx(theirs, rel=1e-6 if dof > 1e6 else 2e-8)


def test_a_quantile_outside_its_range_is_refused():
    for share, dof in ((0.3, 5.0), (1.0, 5.0), (0.9, 0.5), (0.9, math.nan)):
        with pytest.raises(ValueError, match="t quantile"):
            t_quantile(share, dof)
