"""Shares of a variance against closed forms and against scipy."""

import numpy as np
import pytest
from scipy import stats

from articulate.studies.population.polynomial_shares import MOST_POINTS, polynomial_shares
from articulate.studies.population.sampling import unit_points
from articulate.studies.population.sensitivity import BLOCK, pick_freeze_indices, thorough_shares

GROUPS = (("a",), ("b",), ("c",))
# Ishigami and Homma, 1990, a = 7, b = 0.1; first-order indices to four digits as given in SALib and scipy, seen
FIRST = np.array([0.3139, 0.4424, 0.0])
A, B = 7.0, 0.1
# Closed forms of its variances: V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 (1/18 - 1/50).
V1, V2, V13 = 0.5 * (1 + B * np.pi**4 / 5) ** 2, A**2 / 8, B**2 * np.pi**8 * (1 / 18 - 1 / 50)
TOTAL = np.array([V1 + V13, V2, V13]) / (V1 + V2 + V13)


def ishigami(unit):
    x = (2.0 * unit - 1.0) * np.pi
    return np.sin(x[:, 0]) + A * np.sin(x[:, 1]) ** 2 + B * x[:, 2] ** 4 * np.sin(x[:, 0])


def columns(unit):
    return {key: unit[:, k] for k, key in enumerate("abc")}


def test_the_closed_form_has_the_published_values():
    np.testing.assert_allclose(np.array([V1, V2, 0.0]) / (V1 + V2 + V13), FIRST, atol=5e-5)


@pytest.mark.parametrize("points", [256, 1024, 4096])
def test_ishigami_by_picking_and_freezing(points):
    (found,) = thorough_shares(lambda unit: ishigami(unit)[None], GROUPS, points)
    assert (np.abs(found.first - FIRST) < 3.0 * found.first_error).all()
    assert (np.abs(found.total - TOTAL) < 3.0 * found.total_error).all()
    assert found.first_error.max() < 2.0 / np.sqrt(points)


@pytest.mark.parametrize(("points", "unresolved"), [(256, 0.2), (1024, 0.015)])
def test_ishigami_from_the_points_of_a_band(points, unresolved):
    unit = unit_points(points, 3)
    found = polynomial_shares(columns(unit), ishigami(unit), GROUPS)
    assert (np.abs(found.first - FIRST) < 3.0 * found.first_error + 1e-3).all()
    assert (np.abs(found.total - TOTAL) < 3.0 * found.total_error + 1e-3).all()
    assert found.unresolved < unresolved


def test_the_same_numbers_as_scipy():
    rng = np.random.default_rng(1)
    a, b = rng.random((512, 3)), rng.random((512, 3))
    mixed = [np.where(np.arange(3) == k, b, a) for k in range(3)]
    f_a, f_b, f_ab = ishigami(a), ishigami(b), np.array([ishigami(m) for m in mixed])
    first, total = pick_freeze_indices(f_a, f_b, f_ab)
    theirs = stats.sobol_indices(func={"f_A": f_a[None], "f_B": f_b[None], "f_AB": f_ab[:, None]}, n=512)
    np.testing.assert_allclose(first, theirs.first_order.ravel(), atol=1e-12)
    np.testing.assert_allclose(total, theirs.total_order.ravel(), atol=1e-12)


def test_scipy_on_its_own_points():
    # scipy draws its own Sobol points; both estimates scatter, each within its error
    theirs = stats.sobol_indices(
        func=lambda x: ishigami(x.T)[None], n=1024, dists=[stats.uniform()] * 3, rng=np.random.default_rng(3)
    )
    (found,) = thorough_shares(lambda unit: ishigami(unit)[None], GROUPS, 1024)
    assert (np.abs(found.first - theirs.first_order.ravel()) < 4.0 * found.first_error).all()
    assert (np.abs(found.total - theirs.total_order.ravel()) < 4.0 * found.total_error).all()


def test_tied_inputs_share_as_a_group():
    # y = 2 x1 + x2 + 3 x3, x1 and x2 with correlation r: V12 = 4 + 1 + 4 r, V3 = 9 (derived)
    tie = 0.6
    z = stats.norm.ppf(unit_points(2048, 3))
    x1, x2 = z[:, 0], tie * z[:, 0] + np.sqrt(1 - tie**2) * z[:, 1]
    y = 2 * x1 + x2 + 3 * z[:, 2]
    found = polynomial_shares({"a": x1, "b": x2, "c": z[:, 2]}, y, (("a", "b"), ("c",)))
    expected = np.array([5 + 4 * tie, 9]) / (14 + 4 * tie)
    np.testing.assert_allclose(found.first, expected, atol=0.01)
    np.testing.assert_allclose(found.total, expected, atol=0.01)


def test_a_kink_is_left_unresolved_or_found():
    # y = max(x1 + x2, 0) of standard normals: symmetric, so both totals are the same; brute force by 2^16 points
    z = stats.norm.ppf(unit_points(1024, 12))
    samples = {f"k{k}": z[:, k] for k in range(12)}
    groups = tuple((key,) for key in samples)
    found = polynomial_shares(samples, np.maximum(z[:, 0] + z[:, 1], 0.0), groups)

    def kinked(unit):
        normal = stats.norm.ppf(unit)
        return np.maximum(normal[:, 0] + normal[:, 1], 0.0)[None]

    (brute,) = thorough_shares(kinked, groups, 2**14)
    assert (np.abs(found.total - brute.total) < found.unresolved + 3.0 * brute.total_error).all()
    assert found.first[2:].sum() < 0.01


def test_an_output_without_any_order_is_left_unresolved():
    unit = unit_points(1024, 20)
    samples = {f"k{k}": unit[:, k] for k in range(20)}
    noise = np.random.default_rng(0).normal(size=1024)
    found = polynomial_shares(samples, noise, tuple((key,) for key in samples))
    assert found.unresolved > 0.9
    assert found.first.max() < 0.05


def test_points_without_a_score_are_left_out():
    unit = unit_points(1024, 3)
    y = ishigami(unit)
    holes = y.copy()
    holes[::7] = np.nan
    holes[3] = np.inf
    found = polynomial_shares(columns(unit), holes, GROUPS)
    assert found.points == np.isfinite(holes).sum()
    np.testing.assert_allclose(found.first, FIRST, atol=0.02)
    (thorough,) = thorough_shares(lambda u: np.where(u[:, 0] < 0.01, np.nan, ishigami(u))[None], GROUPS, 1024)
    assert thorough.points < 1024
    assert (np.abs(thorough.total - TOTAL) < 0.1).all()


def test_what_does_not_vary_has_no_shares():
    unit = unit_points(64, 3)
    found = polynomial_shares(columns(unit), np.full(64, 500.0), GROUPS)
    assert found.variance == 0.0
    assert np.isnan(found.first).all()


def test_room_does_not_grow_with_the_points():
    unit = unit_points(2 * MOST_POINTS, 3)
    found = polynomial_shares(columns(unit), ishigami(unit), GROUPS)
    assert found.points == MOST_POINTS
    assert found.method.endswith(f"first {MOST_POINTS}")
    assert (np.abs(found.total - TOTAL) < 3.0 * found.total_error + 1e-3).all()
    asked = []

    def counted(block):
        asked.append(len(block))
        return ishigami(block)[None]

    told = []
    thorough_shares(counted, GROUPS, 4 * BLOCK, progress=lambda *done: told.append(done))
    assert max(asked) <= BLOCK
    assert sum(asked) == 5 * 4 * BLOCK
    assert told[-1] == (sum(asked), sum(asked))
