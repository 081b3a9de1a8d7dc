"""Probabilities and expected information against closed forms, numerical integrals and simulation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from articulate.measure.conversions import ReadingKind
from articulate.spec import load_vehicle
from articulate.spec.quantities import LENGTH
from articulate.studies.audit.audit import Verdict, verdict_of
from articulate.studies.audit.cause import Cause, Reading
from articulate.studies.audit.channels import FINDS, MISLEADS, Channel
from articulate.studies.audit.checks import Check
from articulate.studies.audit.expectations import CLEAN, OTHER, Expectations, NoLiftError, expect
from articulate.studies.audit.findings import findings
from articulate.studies.audit.inference import NORMAL, Observed, infer, ranks, student, surprise, tail_freedom
from articulate.studies.audit.information import READY, advise
from articulate.studies.audit.nodes import Base, moments, nodes_of_readings, nodes_of_sizes
from articulate.studies.audit.possible import CAUSES, Component, scene_of
from articulate.studies.audit.sizes import NO_SIZE, NODES, either_way, even, ratio
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import NO_MODEL_ERROR
from articulate.types import Case

ANGLE = float(np.radians(20.0))
TERN = "vehicle_specs_demo/crossover_minimal.toml"


def channel(key, scatter):
    return Channel(key, key, LENGTH, "mm", 1e-3, scatter, lambda seen: seen.size)


def expectations(means, prior, covariance=None, scatter=1e-6, marks=(), freedom=NORMAL):
    """Causes with one node each, the last two the clean vehicle and none of these; channels x0, x1, ..."""
    means = np.asarray(means, dtype=np.float64)
    nodes, k = means.shape
    causes = [Cause(f"cause {i}", "", NO_SIZE, marks=marks if i == 0 else ()) for i in range(nodes - 2)]
    components = tuple(Component(cause, "", 1.0) for cause in (*causes, None))
    spread = np.eye(k) if covariance is None else covariance
    channels = tuple(channel(f"x{i}", scatter) for i in range(k))
    rng = np.random.default_rng(3)
    scene = scene_of(load_vehicle(TERN), [Reading(Case(), ReadingKind.MARK_HEIGHT, 0.0, 1.0)], ANGLE, 2.69)
    return Expectations(
        scene=scene,
        channels=channels,
        index={c.key: i for i, c in enumerate(channels)},
        components=components,
        names=(*(cause.name for cause in causes), CLEAN, OTHER),
        cause=np.arange(nodes),
        component=np.array([*range(nodes - 1), -1]),
        size=np.ones(nodes),
        log_prior=np.log(prior),
        mean=means,
        covariance=np.tile(spread, (nodes, 1, 1)),
        freedom=np.full(nodes, float(freedom)),
        clean=means[-2] + rng.standard_normal((4096, k)) @ np.linalg.cholesky(spread).T,
        lost=(0,) * nodes,
        clean_mean=means[-2],
        clean_covariance=spread,
        model=NO_MODEL_ERROR,
    )


def test_posterior_is_bayes_rule_over_normal_densities():
    covariance = np.array([[1.0, 0.6], [0.6, 2.0]])
    means, prior = [[0.0, 0.0], [2.0, 1.0], [-1.0, 3.0], [0.5, 0.5]], [0.1, 0.3, 0.4, 0.2]
    e = expectations(means, prior, covariance)
    observed = Observed({"x0": (1.2, 0.5), "x1": (0.4, 0.3)})
    read = covariance + np.diag([0.25, 0.09])
    density = np.array([stats.multivariate_normal(m, read).pdf([1.2, 0.4]) for m in means])
    expected = density * prior / (density @ prior)
    np.testing.assert_allclose(infer(e, observed, judged=np.inf).probability, expected, atol=1e-3)
    assert abs(expected[1] - prior[1]) > 0.1


def test_ranges_that_are_judged_give_heavier_tails():
    """Six standard deviations off, or a cause: sure where ranges are known, less so where they are judged."""
    e = expectations([[6.0], [0.0], [0.0]], [0.01, 0.98, 0.01])
    observed = Observed({"x0": (6.0, 0.01)})
    known, judged = (infer(e, observed, judged=freedom).probability[1] for freedom in (np.inf, 8.0))
    density = [stats.multivariate_t(m, 6.0 / 8.0 * (1.0 + 1e-4), 8.0).pdf(6.0) for m in (6.0, 0.0, 0.0)]
    assert judged == pytest.approx(0.98 * density[1] / (np.array([0.01, 0.98, 0.01]) @ density), rel=0.1)
    assert known < 1e-4 < judged


def test_student_density_against_scipy():
    covariance = np.array([[2.0, 0.5], [0.5, 1.0]])
    for nu in (6.0, 40.0):
        found, whiten = student(np.array([[1.0, -2.0]]), covariance[None], np.array([nu]))
        shape = covariance * (nu - 2.0) / nu
        assert found[0] == pytest.approx(stats.multivariate_t([0.0, 0.0], shape, nu).logpdf([1.0, -2.0]))
        np.testing.assert_allclose(whiten[0].T @ whiten[0], np.linalg.inv(covariance))


def test_moments_of_a_population_read_otherwise_are_those_of_it_whole():
    rng = np.random.default_rng(6)
    clean = rng.standard_normal((200, 5)) @ rng.standard_normal((5, 5))
    clean[7] = np.nan
    columns = np.array([1, 3, 4])  # the one in the middle is read rightly
    other, less = clean.copy(), clean.copy()
    other[:, [1, 4]] = 2.0 * other[:, [4, 1]] + 1.0
    less[20, 1] = np.nan
    for samples in ([other, clean], [other, less]):
        means, covariances, lost = Base.of(clean).misread(np.array(samples)[:, :, columns].transpose(0, 2, 1), columns)
        assert lost == np.isnan(samples[0]).any(axis=1).sum()
        for k, sample in enumerate(samples):
            mean, covariance = moments(sample)
            np.testing.assert_allclose(means[k], mean, rtol=1e-9, atol=1e-12)
            np.testing.assert_allclose(covariances[k], covariance, rtol=1e-9, atol=1e-12)


def test_a_channel_is_predicted_by_regression_on_the_observed_one():
    covariance = np.array([[1.0, 0.8], [0.8, 1.0]])
    e = expectations([[0.0, 0.0]] * 3, [0.3, 0.4, 0.3], covariance)
    posterior = infer(e, Observed({"x0": (2.0, 0.5)}))
    given = posterior.given(np.arange(3))
    assert given.mean[0, 1] == pytest.approx(0.8 / 1.25 * 2.0)
    assert given.covariance(np.array([1]))[0, 0, 0] == given.variance[0, 1] == pytest.approx(1.0 - 0.8**2 / 1.25)


def test_causes_that_look_the_same_share_by_their_priors_and_a_rank():
    e = expectations([[3.0], [3.0], [0.0], [0.0]], [0.1, 0.1, 0.75, 0.05])
    posterior = infer(e, Observed({"x0": (3.1, 0.2)}))
    assert posterior.probability[0] == pytest.approx(posterior.probability[1], rel=1e-12)
    assert ranks(e.names, posterior.probability).tolist()[:2] == [1, 1]
    e = replace(e, log_prior=np.log([0.15, 0.05, 0.75, 0.05]))
    shared = infer(e, Observed({"x0": (3.1, 0.2)})).probability
    assert shared[0] / shared[1] == pytest.approx(3.0)


def test_ranks_leave_out_that_nothing_is_wrong():
    names = ("a", "b", "c", CLEAN, OTHER)
    assert ranks(names, np.array([0.20, 0.18, 0.10, 0.50, 0.02])).tolist() == [1, 1, 3, 0, 4]


def test_which_wheel_lifts_is_the_sign_of_its_contest():
    e = expectations([[0.0, 1.5], [0.0, -0.5], [0.0, 0.0]], [0.4, 0.4, 0.2])
    posterior = infer(e, Observed({"x0": (0.0, 0.1)}, {"x1": True}))
    chance = 0.03 + 0.94 * stats.norm.cdf([1.5, -0.5, 0.0])  # variance of the contest 1, clipped there
    expected = chance * [0.4, 0.4, 0.2] / (chance @ [0.4, 0.4, 0.2])
    np.testing.assert_allclose(posterior.probability, expected, rtol=1e-6)


def test_which_wheel_lifts_says_less_where_the_score_has_told_it():
    """The contest's chance is that of its normal distribution given the score that was read."""
    covariance = np.array([[1.0, 2.4], [2.4, 9.0]])
    means, prior = np.array([[0.0, 1.0], [1.0, -2.0], [0.0, 0.0]]), np.array([0.4, 0.4, 0.2])
    e = expectations(means, prior, covariance)
    read = 1.0 + 0.5**2
    given = means[:, 1] + 2.4 / read * (1.2 - means[:, 0])
    chance = 0.03 + 0.94 * stats.norm.sf(0.0, given, np.sqrt(9.0 - 2.4**2 / read))
    weight = prior * stats.norm.pdf(1.2, means[:, 0], np.sqrt(read)) * chance
    found = infer(e, Observed({"x0": (1.2, 0.5)}, {"x1": True}), judged=np.inf).probability
    np.testing.assert_allclose(found, weight / weight.sum(), atol=1e-3)


def test_errors_that_values_share_are_counted_once():
    """Two climbs of one run: 3 of each one's own and 4 of both alike make 5 of each, correlated by 16/25."""
    seen = Observed({"a": (0.0, 5.0), "b": (0.0, 5.0), "c": (0.0, 2.0)}, alike=[{"a": 4.0, "b": 4.0}])
    np.testing.assert_allclose(seen.noise, [[25.0, 16.0, 0.0], [16.0, 25.0, 0.0], [0.0, 0.0, 4.0]])
    np.testing.assert_allclose(seen.noise_of(["c", "b"]), [[4.0, 0.0], [0.0, 25.0]])


def test_looks_find_what_is_there_and_mislead_now_and_then():
    e = expectations([[0.0]] * 4, [0.2, 0.2, 0.5, 0.1], marks=("rub marks",))
    before, after = Observed({"x0": (0.0, 0.1)}), Observed({"x0": (0.0, 0.1)}, looks={"rub marks": True})
    a, b = infer(e, before).probability, infer(e, after).probability
    assert b[0] / b[1] == pytest.approx(a[0] / a[1] * FINDS / MISLEADS)
    # Something that no list has may show too: more than what is not there, less than what is looked for.
    assert 2.0 * MISLEADS < b[3] / b[2] / (a[3] / a[2]) * MISLEADS < FINDS


def test_a_telltale_is_as_wide_as_the_sizes_that_the_cause_may_have():
    """Two sizes alike, at 4 and 8 with 1 of scatter each: the mean is 6, the variance 1 + 2^2."""
    e = expectations([[0.0, 4.0], [0.0, 8.0], [0.0, 0.0], [0.0, 0.0]], [0.2, 0.2, 0.5, 0.1])
    e = replace(
        e,
        components=(e.components[0], e.components[-1]),
        names=(e.names[0], CLEAN, OTHER),
        cause=np.array([0, 0, 1, 2]),
        component=np.array([0, 0, 1, -1]),
    )
    found = next(one for one in findings(infer(e, Observed({"x0": (0.0, 0.1)}))) if one.name == "cause 0")
    (look,) = found.telltales
    assert (look.value, look.spread) == (pytest.approx(6.0), pytest.approx(np.sqrt(5.0)))
    assert (look.otherwise, look.otherwise_spread) == (pytest.approx(0.0, abs=1e-9), pytest.approx(1.0))
    assert look.contrast == pytest.approx(6.0 / np.sqrt(6.0))


@pytest.mark.parametrize(
    ("p", "clean", "cause", "answered", "verdict"),
    [
        (0.5, 0.8, 0.1, False, Verdict.CONSISTENT),
        (0.05, 0.8, 0.1, False, Verdict.DOUBTFUL),
        (0.001, 0.8, 0.1, False, Verdict.DOUBTFUL),  # odd, and still likelier that nothing is wrong
        (0.05, 0.3, 0.6, False, Verdict.DOUBTFUL),
        (0.001, 0.3, 0.6, False, Verdict.INCONSISTENT),
        (0.001, 0.03, 0.95, True, Verdict.EXPLAINED),
        (0.5, 0.3, 0.6, True, Verdict.INCONSISTENT),  # what was checked is at odds with the file
        (0.05, 0.95, 0.02, True, Verdict.CONSISTENT),  # the checks found all well
        (0.001, 0.95, 0.02, True, Verdict.DOUBTFUL),  # and yet the readings are those of no such vehicle
    ],
)
def test_the_verdict_goes_by_the_readings_and_then_by_the_checks(p, clean, cause, answered, verdict):
    e = expectations([[0.0]] * 3, [cause, clean, 1.0 - clean - cause])
    found = findings(infer(e, Observed({"x0": (0.0, 0.1)})))
    assert verdict_of(p, found, answered) is verdict


def two_causes(distance, scatter=1.0):
    """x0 says nothing; x1 tells two causes apart by a distance in units of its whole spread."""
    spread = np.diag([1.0, 1e-8])
    e = expectations([[0.0, 0.0], [0.0, distance], [0.0, 9e3], [0.0, -9e3]], [0.5, 0.5, 1e-12, 1e-12], spread, scatter)
    return infer(e, Observed({"x0": (0.0, 0.1)}))


CHECK = Check("look at x1", "Look.", "", 5.0, ("x1",))


@pytest.mark.parametrize("distance", [0.0, 1.0, 2.0, 4.0, 40.0])
def test_expected_information_against_the_integral(distance):
    """Mutual information of a fair coin and a normal reading about one of two values."""

    def integrand(x):
        p, q = stats.norm.pdf(x), stats.norm.pdf(x - distance)
        mix = 0.5 * (p + q)
        return sum(0.5 * one * np.log2(one / mix) for one in (p, q) if one > 0.0)

    expected = integrate.quad(integrand, -9.0, distance + 9.0, points=[0.0, distance], limit=200)[0]
    found = advise(two_causes(distance), [CHECK], seed=1, draws=4000)[0]
    assert found.gain == pytest.approx(expected, abs=0.02)
    assert found.per_minute == found.gain / (READY + 5.0)


def test_advice_puts_the_telling_check_first_and_drops_answered_ones():
    posterior = two_causes(3.0)
    idle = Check("look at x0 again", "Look.", "", 1.0, ("x0",))
    assert [one.check.name for one in advise(posterior, [idle, CHECK], 1)] == ["look at x1"]
    at_mark = replace(CHECK, name="while it stands there", minutes=1.0, at_mark=True)
    for still, first in ((False, "look at x1"), (True, "while it stands there")):
        found = advise(posterior, [CHECK, at_mark], 1, still_at_mark=still)
        assert found[0].check.name == first
    blunt = two_causes(3.0, scatter=30.0)
    assert advise(blunt, [CHECK], 1)[0].gain < 0.05


def test_heavy_tails_are_told_from_normal_ones():
    rng = np.random.default_rng(5)
    normal = rng.standard_normal((20000, 3))
    scatter = np.full(3, 1e-6)
    assert tail_freedom(normal, np.zeros(3), np.eye(3), np.diag(scatter**2)) > 50.0
    heavy = normal * np.sqrt(8.0 / rng.chisquare(8.0, (20000, 1)))
    assert tail_freedom(heavy, np.zeros(3), np.eye(3) * 8.0 / 6.0, np.diag(scatter**2)) == pytest.approx(8.0, rel=0.25)


def test_surprise_of_a_clean_population_is_uniform():
    e = expectations([[0.0, 0.0]] * 3, [0.3, 0.4, 0.3], np.array([[1.0, 0.7], [0.7, 1.0]]))
    e = replace(e, clean=e.clean[:1024])
    rng = np.random.default_rng(8)
    draws = rng.multivariate_normal([0.0, 0.0], [[1.0, 0.7], [0.7, 1.0]], 300) + 0.4 * rng.standard_normal((300, 2))
    p = [surprise(e, Observed({"x0": (x, 0.4), "x1": (y, 0.4)}), 20) for x, y in draws]
    assert stats.kstest(p, "uniform").pvalue > 0.01
    assert surprise(e, Observed({"x0": (2.0, 0.4), "x1": (-2.0, 0.4)}), 20) < 1e-3


def test_sizes_are_drawn_from_their_priors():
    share = np.linspace(0.0005, 0.9995, 1000)
    a = even(-2.0, 4.0, "mm", 1e-3, "x")
    np.testing.assert_allclose(a.at(share).mean(), 1e-3, atol=1e-6)
    b = ratio(50.0, 200.0, "%", 0.01, "x")
    assert np.exp(np.log(b.at(share)).mean()) == pytest.approx(1.0)
    c = either_way({1.0: 3.0, 2.0: 1.0}, "in", 0.0254, "x")
    found, counts = np.unique(c.at(share).round(6), return_counts=True)
    np.testing.assert_allclose(found / 0.0254, [-2.0, -1.0, 1.0, 2.0], rtol=1e-4)
    np.testing.assert_allclose(counts / 1000.0, [0.125, 0.375, 0.375, 0.125], atol=0.002)
    assert a.nodes()[0].size == NODES


@pytest.fixture(scope="module")
def tern():
    scene = scene_of(load_vehicle(TERN), [Reading(Case(), ReadingKind.MARK_HEIGHT, 0.0, 4.0)], ANGLE, 2.69)
    return expect(scene, Conditions())


def test_expected_scores_of_a_population_by_hand(tern):
    """The clean node is the population's own mean; a plumbed mark lowers it by r tan g."""
    node = int(np.flatnonzero(tern.cause == tern.names.index(CLEAN))[0])
    assert tern.mean[node, 0] == pytest.approx(tern.clean[:, 0].mean())
    plumbed = int(np.flatnonzero(tern.cause == tern.names.index("mark plumbed instead of squared"))[0])
    tyre = tern.scene.nominal.tyre_radius[0, 0]
    lowered = (tern.mean[node, 0] - tern.mean[plumbed, 0]) * 2.69 / 1000.0 / np.tan(ANGLE)
    assert 0.8 * tyre < lowered < tyre


def test_where_no_listed_cause_is_at_work_all_may_look_as_different_as_the_causes_make_it(tern):
    other = int(np.flatnonzero(tern.cause == tern.names.index(OTHER))[0])
    causes = tern.cause < tern.names.index(CLEAN)
    share = np.exp(tern.log_prior[causes])
    departure = (share @ (tern.mean[causes] - tern.clean_mean) ** 2 / share.sum())[1:]  # the first is the score
    clean = np.diagonal(tern.clean_covariance)[1:]
    assert (departure > 0.01 * clean).sum() > 3
    assert (np.diagonal(tern.covariance[other])[1:] >= clean + departure).all()


def test_a_cause_with_which_fewer_vehicles_lift_a_wheel_is_less_likely_to_have_done_it(tern):
    """Half is left to nothing wrong, 5 % to none of these, the rest to the one cause but for climbs that lift none."""
    tyres = [cause for cause in CAUSES if cause.name == "tyre pressure"]
    length = float(np.quantile(tern.clean[:, 0], 0.75)) * 1e-3 * 2.69
    found = expect(tern.scene, Conditions(length=length), points=128, causes=tyres)
    prior = np.bincount(found.cause, np.exp(found.log_prior))
    assert 0 < found.lost[0] < 24
    np.testing.assert_allclose(prior, [0.45 * (1.0 - found.lost[0] / 24.0), 0.5, 0.05])


def test_a_cause_of_no_size_to_speak_of_is_expected_to_look_clean(tern):
    node = int(np.flatnonzero(tern.cause == tern.names.index(CLEAN))[0])
    k = tern.names.index("tyre pressure")
    mine = np.flatnonzero(tern.cause == k)
    nearest = mine[np.abs(tern.size[mine] - 1.0).argmin()]
    assert tern.mean[nearest, 0] == pytest.approx(tern.mean[node, 0], abs=4.0)
    assert tern.mean[mine[0], 0] - tern.mean[node, 0] > 20.0


def test_the_same_seed_gives_the_same_expectations(tern):
    some = [cause for cause in CAUSES if cause.name in ("tyre pressure", "slipped whole inch")]
    first, again, other = (expect(tern.scene, Conditions(), seed=seed, points=64, causes=some) for seed in (20, 20, 21))
    np.testing.assert_array_equal(again.mean, first.mean)
    np.testing.assert_array_equal(again.covariance, first.covariance)
    assert not np.array_equal(other.mean, first.mean)


def test_a_vehicle_that_lifts_no_wheel_is_not_audited(tern):
    with pytest.raises(NoLiftError, match="0 of 64 vehicles"):
        expect(tern.scene, Conditions(length=0.4), points=64)


def test_means_follow_the_size_and_climbs_without_a_lift_count_against_a_cause():
    """A known law: channel 0 moves with the square of the size, channel 1 keeps its spread."""
    rng = np.random.default_rng(2)
    clean = rng.standard_normal((4096, 2)) * [1.0, 2.0]
    size = even(0.0, 10.0, "mm", 1e-3, "x")
    share = (rng.permutation(400) + 0.5) / 400
    sample = clean[:400] + np.stack([1e5 * size.at(share) ** 2, np.zeros(400)], axis=1)
    sample[::4] = np.nan
    base = Base.of(clean)
    nodes = nodes_of_sizes(base, sample, share, size)
    assert nodes.lost == 100
    assert nodes.weight.sum() == pytest.approx(0.75)
    np.testing.assert_allclose(nodes.mean[:, 0], clean[:, 0].mean() + 1e5 * nodes.size**2, atol=0.15)
    np.testing.assert_allclose(np.sqrt(nodes.covariance[:, 1, 1]), 2.0, rtol=0.25)
    gone = nodes_of_sizes(base, np.full_like(sample, np.nan), share, size)
    assert np.isfinite(gone.mean).all()
    assert gone.weight.sum() < 1e-6


def hidden_law(points):
    """Six channels of three inputs; the cause moves them by its size times what the vehicle is like, and by chance."""
    rng = np.random.default_rng(11)
    inputs = rng.standard_normal((2048, 3))
    clean = inputs @ rng.standard_normal((3, 6)) + 0.1 * rng.standard_normal((2048, 6))
    size = even(-1.0, 1.0, "", 1.0, "x")
    share = (rng.permutation(points) + 0.5) / points
    pushes, goes_with = rng.standard_normal(6), 0.15 * rng.standard_normal((3, 6))

    def changed(at, rows):
        return at[:, None] * (pushes + inputs[rows] @ goes_with)

    sample = clean[:points] + changed(size.at(share), slice(0, points)) + 0.05 * rng.standard_normal((points, 6))
    whole = [clean + changed(np.full(2048, at), slice(None)) for at in size.nodes()[0]]
    return Base.of(clean), sample, share, size, whole


def test_few_points_tell_mean_and_covariance_of_the_whole_population():
    base, sample, share, size, whole = hidden_law(32)
    nodes = nodes_of_sizes(base, sample, share, size)
    for k in (0, NODES // 3, NODES - 1):
        mean, covariance = moments(whole[k])
        spread = np.sqrt(np.diagonal(covariance))
        np.testing.assert_allclose(nodes.mean[k], mean, atol=0.12 * spread.max())
        np.testing.assert_allclose(
            nodes.covariance[k] / np.outer(spread, spread), covariance / np.outer(spread, spread), atol=0.2
        )
        alone = np.cov(sample[np.abs(share - (k + 0.5) / NODES) < 0.15], rowvar=False)  # what they say by themselves
        error = np.abs(alone / np.outer(spread, spread) - covariance / np.outer(spread, spread)).max()
        assert error > 0.25
    assert (nodes.freedom > 32).all()


def test_what_few_points_leave_by_chance_is_neither_lost_nor_taken_for_sure():
    """A cause that only scatters: in the mean over many samples its nodes have the scatter that was put in."""
    size = even(-1.0, 1.0, "", 1.0, "x")
    added, freedom = [], []
    for seed in range(60):
        rng = np.random.default_rng([seed, 5])
        clean = rng.standard_normal((1024, 3))
        share = (rng.permutation(24) + 0.5) / 24
        nodes = nodes_of_sizes(Base.of(clean), clean[:24] + 3.0 * rng.standard_normal((24, 3)), share, size)
        added.append(np.diagonal(nodes.covariance, axis1=1, axis2=2) - 1.0)
        freedom.append(nodes.freedom)
    assert 9.0 < np.mean(added) < 1.35 * 9.0  # how surely a mean is known from 24 points comes on top
    assert np.mean(freedom) < 24.0


def test_a_size_varies_within_its_node():
    """A mean that goes straight with the size: each node adds the variance of an even spread over its width."""
    rng = np.random.default_rng(4)
    base, size = Base.of(rng.standard_normal((500, 2))), even(0.0, 6.0, "", 1.0, "x")
    read = base.sample.T[None, :1] + size.nodes()[0][:, None, None]
    nodes = nodes_of_readings(base, read, np.array([0]), size)
    np.testing.assert_allclose(nodes.covariance[:, 0, 0] - base.covariance[0, 0], (6.0 / NODES) ** 2 / 12.0)
    np.testing.assert_allclose(nodes.covariance[:, 1], np.tile(base.covariance[1], (NODES, 1)))
