"""What a posterior means for a person: every cause with the size it needs and how the rest would look."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.studies.audit.cause import Cause
from articulate.studies.audit.channels import Channel
from articulate.studies.audit.checks import checks
from articulate.studies.audit.expectations import CLEAN, OTHER
from articulate.studies.audit.inference import ALIKE, Posterior, ranks
from articulate.studies.audit.sizes import Size
from articulate.types import Case

Array = NDArray[np.float64]

TELLTALES = 3  # shown of each cause, one a check
CLEAR = 1.0  # contrast from which a channel is worth naming [sd]
SENTENCES = {
    CLEAN: "The vehicle did what its file leads one to expect, and it was read rightly.",
    OTHER: "Something else is at work, or several causes at once.",
}


@dataclass(frozen=True)
class Look:
    """How a channel would look: mean and standard deviation [SI], and the same if the cause were not at work."""

    channel: Channel
    value: float
    spread: float
    otherwise: float
    otherwise_spread: float

    @property
    def contrast(self) -> float:
        """Difference in standard deviations."""
        return abs(self.value - self.otherwise) / float(np.hypot(self.spread, self.otherwise_spread))


@dataclass(frozen=True)
class Finding:
    """One cause: how probable, how large it would have to be, how the rest would look."""

    name: str
    sentence: str
    probability: float
    rank: int  # among the causes, shared by those that cannot be told apart; 0 for nothing is wrong
    alike: tuple[str, ...]  # other causes these readings cannot tell from it
    place: str  # the likeliest variant
    place_probability: float
    size: Size | None
    needed: tuple[float, float, float] | None  # [SI], median and central 90 %
    moves: Mapping[Case, float]  # by how much it moves a score from what the file leads one to expect, the most a case
    telltales: tuple[Look, ...]  # what would look most different, one a check
    found_by_look: tuple[str, ...]  # what a look would find
    correct: str = ""  # what to put right once it is known


def findings(posterior: Posterior) -> tuple[Finding, ...]:
    """Every cause, the likeliest first, with what it would mean."""
    reader = _Reader(posterior)
    return tuple(reader.finding(int(k)) for k in reader.order)


def quantiles(sizes: Array, weight: Array) -> tuple[float, float, float]:
    """Median and central 90 % of weighted sizes, half a node's weight below each."""
    order = np.argsort(sizes)
    sizes, weight = sizes[order], weight[order] / weight.sum()
    below = np.cumsum(weight) - 0.5 * weight
    middle, low, high = np.interp([0.5, 0.05, 0.95], below, sizes)
    return float(middle), float(low), float(high)


def _moments(weight: Array, mean: Array, variance: Array) -> tuple[Array, Array]:
    """Mean and standard deviation of a mixture, (channels,) each, from its nodes."""
    share = weight / max(float(weight.sum()), 1e-300)
    middle = share @ mean
    return middle, np.sqrt(np.maximum(share @ (variance + mean**2) - middle**2, 0.0))


class _Reader:
    """A posterior, with what all findings share."""

    def __init__(self, posterior: Posterior) -> None:
        self.posterior, self.expected = posterior, posterior.expected
        e = self.expected
        self.probability, self.likelihood = posterior.probability, posterior.likelihood
        self.order = np.argsort(-self.probability, kind="stable")
        self.places = ranks(e.names, self.probability)
        given = posterior.likely
        self.nodes, self.mean, self.variance = given.nodes, given.mean, given.variance
        self.check_of = {key: check.name for check in checks(e.scene) for key in check.channels}
        known = posterior.observed.values
        self.unseen = np.array([c.key not in known and not c.key.startswith("contest.") for c in e.channels])
        self.scatter = np.array([channel.scatter for channel in e.channels])

    def finding(self, k: int) -> Finding:
        """The finding on one cause, by its index."""
        e, weight = self.expected, self.posterior.weight
        mine = e.cause == k
        place, place_probability, needed = "", 1.0, None
        cause = self.cause(k)
        if cause is not None:
            share = np.bincount(e.component[mine], weight[mine], len(e.components))
            best = int(share.argmax())
            place = e.components[best].variant
            place_probability = float(share[best] / share.sum()) if share.sum() > 0.0 else 0.0
            here = mine & (e.component == best)
            if cause.size.shape != "fixed" and weight[here].sum() > 0.0:
                needed = quantiles(e.size[here], weight[here])
        return Finding(
            name=e.names[k],
            sentence=cause.sentence if cause is not None else SENTENCES[e.names[k]],
            probability=float(self.probability[k]),
            rank=int(self.places[k]),
            alike=self.alike(k),
            place=place,
            place_probability=place_probability,
            size=cause.size if cause is not None else None,
            needed=needed,
            moves=self.moves(mine) if cause is not None else {},
            telltales=self.telltales(k) if cause is not None else (),
            found_by_look=cause.marks if cause is not None else (),
            correct=cause.correct if cause is not None else "",
        )

    def cause(self, k: int) -> Cause | None:
        """The declaration of a cause; none for the clean vehicle and none of these."""
        component = int(self.expected.component[np.flatnonzero(self.expected.cause == k)[0]])
        return self.expected.components[component].cause if component >= 0 else None

    def alike(self, k: int) -> tuple[str, ...]:
        """Other causes whose likelihood is the same within what the estimate can tell."""
        if self.probability[k] < 0.01:
            return ()
        near = np.abs(self.likelihood - self.likelihood[k]) < -np.log(ALIKE)
        return tuple(self.expected.names[j] for j in self.order if near[j] and j != k)

    def moves(self, mine: NDArray[np.bool_]) -> dict[Case, float]:
        """By how much the scores of each case move, the most of its readings."""
        e, weight = self.expected, self.posterior.weight[mine]
        readings = e.scene.readings
        means = e.mean[mine, : len(readings)]
        centre = weight @ means / weight.sum() if weight.sum() > 0.0 else means.mean(axis=0)
        moved = centre - e.clean_mean[: len(readings)]
        return {
            case: max((float(moved[i]) for i, reading in enumerate(readings) if reading.case == case), key=abs)
            for case in e.scene.cases
        }

    def telltales(self, k: int) -> tuple[Look, ...]:
        """What would look most different from what all else leads one to expect, one a check."""
        mine = self.expected.cause[self.nodes] == k
        if not mine.any():
            return ()
        weight = self.posterior.weight[self.nodes]
        mean, spread = _moments(weight[mine], self.mean[mine], self.variance[mine])
        other, other_spread = _moments(weight[~mine], self.mean[~mine], self.variance[~mine])
        spread, other_spread = np.hypot(spread, self.scatter), np.hypot(other_spread, self.scatter)
        contrast = np.abs(mean - other) / np.hypot(spread, other_spread)
        clear: dict[str, Look] = {}
        for i in np.flatnonzero(self.unseen & (contrast > CLEAR)):
            channel = self.expected.channels[i]
            look = Look(channel, *(float(one[i]) for one in (mean, spread, other, other_spread)))
            check = self.check_of.get(channel.key, channel.key)
            if check not in clear or look.contrast > clear[check].contrast:
                clear[check] = look
        return tuple(sorted(clear.values(), key=lambda one: -one.contrast)[:TELLTALES])
