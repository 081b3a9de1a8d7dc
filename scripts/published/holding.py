"""Published scores held against predictions: bands, and what a set of results says of them together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import rankdata

from articulate.climb import Outcome
from articulate.ends import LIMITS
from articulate.spec import VehicleSpec, load_vehicle
from articulate.studies.learn.outlook import Outlook, outlook_of, prior_weights
from articulate.studies.population.model_error import ModelError
from articulate.studies.population.runs import Population, Runs, cases_of, simulate
from articulate.studies.population.sampling import SEED
from articulate.types import WHEELS, Case

from .results import FAMILIES, KINDS, PublishedResult, kind_of

Array = NDArray[np.float64]
Change = Callable[[VehicleSpec], VehicleSpec]
Simulated = Mapping[str, tuple[VehicleSpec, Runs]]  # by vehicle

FEWEST_RANKED = 4  # results below which no rank correlation is told
DECIDES = 0.5  # share of the climbs in which a limit is met, from which it is named


@dataclass(frozen=True, eq=False)
class Held:
    """One published score beside its prediction."""

    result: PublishedResult
    kind: str
    scores: Array  # (points,), by the inputs alone; NaN where a point has none
    band: Outlook  # inputs and the allowance for the model
    limit: str  # wheel that lifts, and the stops met at the end

    @property
    def ratio(self) -> float:
        """Published over predicted median."""
        return self.result.score / self.band.median

    @property
    def inside(self) -> bool:
        """Whether the published score lies in the 90 % band."""
        return self.band.low <= self.result.score <= self.band.high

    @property
    def width(self) -> float:
        """Width of the band over its median."""
        return self.band.width / self.band.median

    @property
    def input_spread(self) -> float:
        """Standard deviation of the log score over the inputs."""
        return float(np.log(self.scores[np.isfinite(self.scores)]).std())


@dataclass(frozen=True, eq=False)
class HeldGain:
    """A published gain, released less connected, beside its prediction."""

    vehicle: str
    published: float
    band: Outlook

    @property
    def inside(self) -> bool:
        """Whether the published gain lies in the 90 % band."""
        return self.band.low <= self.published <= self.band.high


@dataclass(frozen=True, eq=False)
class Holding:
    """All published results beside their predictions."""

    model: ModelError
    points: int
    held: tuple[Held, ...]
    gains: tuple[HeldGain, ...]


@dataclass(frozen=True)
class Summary:
    """What a set of results says together."""

    name: str
    results: int
    inside: int
    median_ratio: float
    scatter: float  # standard deviation of the log ratio
    beyond_inputs: float  # what remains of it without the inputs' mean variance, 0 where nothing does
    rank_correlation: float  # Spearman's, of published and predicted; NaN below `FEWEST_RANKED` results
    median_width: float  # of the bands over their medians


def simulate_results(
    results: Sequence[PublishedResult], points: int, change: Change | None = None, seed: int = SEED
) -> Simulated:
    """Every vehicle's simulated tests on its own ramp, all its bar states on the same points.

    Args:
        results: what was published.
        points: possible vehicles a file.
        change: of every vehicle before it is simulated, as for a control.
        seed: of the points.
    """
    found: dict[str, tuple[VehicleSpec, Runs]] = {}
    for result in results:
        if result.vehicle not in found:
            spec = load_vehicle(result.path)
            spec = spec if change is None else change(spec)
            people = Population.of(spec, result.conditions)
            found[result.vehicle] = (spec, simulate(people, cases_of(spec), points, seed))
    return found


def predicted(runs: Runs, parts: Sequence[tuple[Case, float]], model: ModelError) -> Outlook:
    """Band of a combination of scores, such as released less connected: inputs and model, no reading error."""
    weights = prior_weights(runs, runs.points)
    return outlook_of(runs, parts, weights, None, model, 0.0)[0]


def limit_text(runs: Runs, case: Case) -> str:
    """How the climbs end: wheelspin, the wheel that most often lifts and the stops then met, by share of the climbs."""
    ends = runs.ends[case]
    has_score = np.isfinite(ends.score)
    scored = max(int(has_score.sum()), 1)
    spun = int((ends.outcome[has_score] == Outcome.WHEELS_SPIN).sum()) / scored
    lifted = ends.wheel[(ends.wheel >= 0) & (ends.outcome != Outcome.WHEELS_SPIN)]
    shares = np.bincount(lifted, minlength=4) / scored
    ways = [f"wheels spin {100.0 * spun:.0f} %"] if spun > 0.0 else []
    if lifted.size:
        ways.append(f"{_short(int(shares.argmax()))} lifts {100.0 * shares.max():.0f} %")
    met = ends.limited[has_score].mean(axis=0)
    order = sorted(np.ndindex(*met.shape), key=lambda place: -met[place])
    named = [
        f"{LIMITS[kind].removeprefix('full ').removesuffix(' stop')} {_short(wheel)} {100.0 * met[kind, wheel]:.0f} %"
        for kind, wheel in order
        if met[kind, wheel] >= DECIDES
    ]
    return f"{', '.join(ways) or 'no end'}: {', '.join(named) or 'springs and bars, no stop'}"


def _short(wheel: int) -> str:
    return "".join(word[0].upper() for word in WHEELS[wheel].split())


def hold(results: Sequence[PublishedResult], simulated: Simulated, model: ModelError) -> Holding:
    """Put every published score beside its band.

    Args:
        results: what was published.
        simulated: of `simulate_results`.
        model: allowance for what the model leaves out.
    """
    held, gains = [], []
    by_name = {result.name: result for result in results}
    for result in results:
        spec, runs = simulated[result.vehicle]
        band = predicted(runs, [(result.case, 1.0)], model)
        kind = kind_of(spec, result.bars)
        held.append(
            Held(result, kind, runs.ends[result.case].score, band, limit_text(runs, result.case)),
        )
        connected = by_name.get(f"{result.vehicle} connected")
        if result.bars == "released" and connected is not None:
            parts = [(result.case, 1.0), (connected.case, -1.0)]
            gains.append(HeldGain(result.vehicle, result.score - connected.score, predicted(runs, parts, model)))
    return Holding(model, next(iter(simulated.values()))[1].points, tuple(held), tuple(gains))


def summary(name: str, held: Sequence[Held]) -> Summary:
    """Coverage, bias, scatter and order of a set of results."""
    if not held:
        return Summary(name, 0, 0, *(math.nan,) * 5)
    logs = np.log([one.ratio for one in held])
    variance = float(logs.var(ddof=1)) if len(held) > 1 else math.nan
    inputs = float(np.mean([one.input_spread**2 for one in held]))
    order = math.nan
    if len(held) >= FEWEST_RANKED:
        ranks = [rankdata(values) for values in ([h.result.score for h in held], [h.band.median for h in held])]
        order = float(np.corrcoef(ranks[0], ranks[1])[0, 1])
    return Summary(
        name=name,
        results=len(held),
        inside=sum(one.inside for one in held),
        median_ratio=float(np.median([one.ratio for one in held])),
        scatter=math.sqrt(variance),
        beyond_inputs=math.nan if math.isnan(variance) else math.sqrt(max(variance - inputs, 0.0)),
        rank_correlation=order,
        median_width=float(np.median([one.width for one in held])),
    )


def summaries(holding: Holding) -> tuple[Summary, ...]:
    """Of all results, by kind of suspension, and with relatives left out."""
    held = holding.held
    found = [summary("all", held)]
    found += [summary(kind, [one for one in held if one.kind == kind]) for kind in KINDS]
    for family in FAMILIES:
        found.append(summary("without " + family_name(family), [h for h in held if h.result.vehicle not in family]))
    related = frozenset().union(*FAMILIES)
    found.append(summary("without any relatives", [h for h in held if h.result.vehicle not in related]))
    return tuple(found)


def family_name(family: frozenset[str]) -> str:
    """Its vehicles in order."""
    return " ".join(sorted(family))
