"""Are the bands true? Vehicles drawn from a file's own uncertainties are tested in the model, with reading errors.

That cannot show what the priors themselves have wrong, so there are truths from outside them too (`OUTSIDE`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from articulate.model.vehicles import Vehicles
from articulate.studies.learn.learning import SURPRISING, Learned, input_posteriors, learn
from articulate.studies.learn.outlook import outlook_of, prior_weights
from articulate.studies.learn.readings import SCORE_UNCERTAINTY, ScoreReading, error_covariance
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import Alter, Progress, Runs
from articulate.studies.population.sampling import SEED
from articulate.types import Case

ENOUGH = 250.0  # effective points with which a prior shared by all tests is left at that
LOOKED_INTO = 40  # tests whose inputs are looked into for what keeps the band wide


def _stiffer_bars(vehicles: Vehicles) -> Vehicles:
    return replace(vehicles, bar_rate=3.0 * vehicles.bar_rate)


def _more_auxiliary(vehicles: Vehicles) -> Vehicles:
    rates = (vehicles.auxiliary_rate, vehicles.auxiliary_rate_cubic)
    return replace(vehicles, auxiliary_rate=4.0 * rates[0], auxiliary_rate_cubic=4.0 * rates[1])


def _travels(factor: float) -> Alter:
    def alter(vehicles: Vehicles) -> Vehicles:
        return replace(vehicles, bump_gap=factor * vehicles.bump_gap, droop_gap=factor * vehicles.droop_gap)

    return alter


OUTSIDE: Mapping[str, Alter] = {
    "bars three times as stiff": _stiffer_bars,
    "auxiliary stiffness four times": _more_auxiliary,
    "travels 20 % shorter": _travels(0.8),
    "travels 20 % longer": _travels(1.2),
}
"""Truths that a file's priors do not hold, for `simulate`: bands have to miss some of them, and learning to say so."""


@dataclass(frozen=True)
class Calibration:
    """How often the next run's score fell into its band, before and after learning from the first run."""

    first: Case
    following: Case
    tests: int  # with a score in both runs
    held_before: int
    held_after: int  # of those not refused
    refused: int  # too few points carried the weight, or nothing was learned
    surprised: int  # learning said that readings so far from the prediction are rare, or worse
    width_share: float  # median of the width after over before
    effective: float  # least effective points of those not refused
    noise_share: float  # of the variance after, on average: reading and model error
    remaining: Mapping[str, float]  # per input: mean share of the variance after that would go if it were measured

    @property
    def told(self) -> int:
        """Tests with a band after learning."""
        return self.tests - self.refused


def calibrate(
    prior: Runs,
    truths: Runs,
    model: ModelError,
    uncertainty: float = SCORE_UNCERTAINTY,
    claimed_uncertainty: float | None = None,
    claimed_model: ModelError | None = None,
    tests: int | None = None,
    seed: int = SEED,
    progress: Progress | None = None,
    learning: bool = True,
) -> Calibration:
    """Test drawn vehicles with reading errors and count how often the bands hold the next score.

    Args:
        prior: simulated tests the bands are made from.
        truths: simulated tests of other points of the same population, taken for real; its first case is
            measured, its last one predicted.
        model: the model error that the real tests have.
        uncertainty: standard uncertainty of the real readings.
        claimed_uncertainty: what the bands are made with, if not the same (overconfident or timid on purpose).
        claimed_model: likewise for the model error.
        tests: how many of the truths to test, all if None.
        seed: of the reading errors.
        progress: called with tests done and tests in all.
        learning: also learn from each first run; without, only the bands before are counted, and none are told.
    """
    cases = tuple(truths.ends)
    first, following = cases[0], cases[-1]
    believed = claimed_model if claimed_model is not None else model
    claimed = claimed_uncertainty if claimed_uncertainty is not None else uncertainty
    rng = np.random.default_rng(seed)
    scores = np.stack([truths.ends[first].score, truths.ends[following].score], axis=1)
    scores = scores[np.isfinite(scores).all(axis=1)][:tests]
    held = [0, 0]
    refused = surprised = 0
    widths, effective, noise = [], [], []
    remaining: list[dict[str, float]] = []
    look_every = max(len(scores) // LOOKED_INTO, 1)
    weights = prior_weights(prior, prior.points)
    before = outlook_of(prior, [(following, 1.0)], weights, None, believed, claimed)[0]
    for number, pair in enumerate(scores):
        real = [ScoreReading(case, float(y), uncertainty) for case, y in zip((first, following), pair, strict=True)]
        read = pair + rng.multivariate_normal(np.zeros(2), error_covariance(real, model))
        held[0] += before.low <= read[1] <= before.high
        if not learning:
            refused += 1
            continue
        learned = learn(prior, [ScoreReading(first, float(read[0]), claimed)], (), believed, claimed, ENOUGH)
        outlook = next(found for found in learned.cases if found.case == following)
        surprised += learned.chance < SURPRISING
        if outlook.after is None:
            refused += 1
        else:
            held[1] += outlook.after.low <= read[1] <= outlook.after.high
            widths.append(outlook.after.width / outlook.before.width)
            effective.append(learned.effective)
            noise.append(outlook.after.noise_share)
            if number % look_every == 0:
                remaining.append(_remaining(learned))
        if progress is not None:
            progress(number + 1, len(scores))
    return Calibration(
        first,
        following,
        len(scores),
        held[0],
        held[1],
        refused,
        surprised,
        float(np.median(widths)) if widths else float("nan"),
        min(effective, default=0.0),
        float(np.mean(noise)) if noise else float("nan"),
        {key: float(np.mean([one[key] for one in remaining])) for key in remaining[0]} if remaining else {},
    )


def _remaining(learned: Learned) -> dict[str, float]:
    after = next(found.after for found in learned.cases if found.case == learned.target)
    free = 1.0 - after.noise_share if after is not None else float("nan")
    return {posterior.key: free * posterior.remaining for posterior in input_posteriors(learned)}
