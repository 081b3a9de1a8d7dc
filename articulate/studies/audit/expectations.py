"""What each cause leads one to expect of every channel: means and covariances over the nodes of its size.

For a cause on the reading side every node is worked out on the clean population itself. For a cause on the vehicle
side every point of the population is climbed again with its own size, drawn from the prior; the change against the
clean climb of the same point is a smooth function of the size (linear spline, least squares), and the covariance at a
node is that of the residuals near it. Both contain the whole spread of the uncertain inputs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.studies.audit.cause import Cause, Scene
from articulate.studies.audit.channels import Channel, contest_channel, observable_channels, score_channels
from articulate.studies.audit.checks import checks
from articulate.studies.audit.possible import (
    CAUSES,
    Component,
    all_cases,
    applicable,
    climb_with,
    components_of,
    population,
    seen,
    values,
    with_model_error,
)
from articulate.studies.audit.sizes import Size
from articulate.studies.audit.worlds import Worlds, see
from articulate.studies.population import Conditions
from articulate.studies.sampling import SEED

Array = NDArray[np.float64]

CLEAN, OTHER = "nothing is wrong", "none of these"
CLEAN_PRIOR, OTHER_PRIOR = 0.5, 0.03
CLEAN_POINTS = 512
CAUSE_POINTS = {1: 128, 2: 96, 3: 80}  # of each component, by the number of places its cause may sit in
LEAST_POINTS = 64
FEWEST_LIFTS = 24  # climbs with a lift below which nothing can be said
OTHER_SHARED, OTHER_EACH = 0.20, 0.08  # sd of a score where none of these causes is at work
OTHER_FREEDOM = 8.0
KNOTS = 8
NEARNESS = 0.14  # sd of the kernel over shares of the size's prior
NOTHING = Component(None, "", 1.0)


class NoLiftError(ValueError):
    """Too few of the possible vehicles lift a wheel for their scores to be judged."""


@dataclass(frozen=True, eq=False)
class Nodes:
    """What one component leads one to expect: k nodes of its size."""

    size: Array  # (k,)
    weight: Array  # (k,), of the prior, before it is shared among causes; climbs without a lift count for nothing
    mean: Array  # (k, channels)
    covariance: Array  # (k, channels, channels)
    freedom: Array  # (k,)
    lost: int  # climbs without a lift


@dataclass(frozen=True, eq=False)
class Expectations:
    """Every node of every component: what is expected there, and how surely.

    Nodes lie in `mean` (nodes, channels) and `covariance` (nodes, channels, channels); the last two nodes are the
    clean vehicle and none of these. `lost` counts the climbs without a lift that were left out, by component.
    """

    scene: Scene
    channels: tuple[Channel, ...]
    index: dict[str, int]
    components: tuple[Component, ...]
    names: tuple[str, ...]  # of the causes, with CLEAN and OTHER last
    cause: NDArray[np.intp]  # (nodes,), index into names
    component: NDArray[np.intp]  # (nodes,), index into components, -1 for none of these
    size: Array  # (nodes,)
    log_prior: Array  # (nodes,)
    mean: Array
    covariance: Array
    freedom: Array  # (nodes,), degrees of freedom of the covariance
    clean: Array  # (points, channels), the clean population itself
    lost: tuple[int, ...]


def _finite(sample: Array) -> NDArray[np.bool_]:
    return np.asarray(np.isfinite(sample).all(axis=1))


def _moments(sample: Array) -> tuple[Array, Array]:
    kept = sample[_finite(sample)]
    return kept.mean(axis=0), np.cov(kept, rowvar=False)


def _hats(share: Array) -> Array:
    """Linear splines over (0, 1), (points, KNOTS)."""
    knots = np.linspace(0.0, 1.0, KNOTS)
    return np.maximum(0.0, 1.0 - np.abs(share[:, None] - knots) * (KNOTS - 1))


def _on_reading_side(scene: Scene, worlds: Worlds, component: Component, channels: Sequence[Channel]) -> Nodes:
    """Every size worked out on the whole clean population."""
    nodes, weights = component.size.nodes()
    samples = [values(channels, seen(scene, worlds, component, np.full(worlds.points, one))) for one in nodes]
    moments = [_moments(sample) for sample in samples]
    return Nodes(
        nodes,
        weights,
        np.array([mean for mean, _ in moments]),
        np.array([covariance for _, covariance in moments]),
        np.full(nodes.size, float(worlds.points)),
        int((~_finite(samples[0])).sum()),
    )


def _on_vehicle(clean: Array, sample: Array, share: Array, size: Size) -> Nodes:
    """From points with sizes at `share` of the prior, each beside its clean climb; see the module's head."""
    nodes, weights = size.nodes()
    fine = _finite(sample) & _finite(clean[: share.size])
    lost = int((~fine).sum())
    middle, spread = _moments(clean)
    if fine.sum() < FEWEST_LIFTS:  # such a vehicle lifts no wheel, and one was lifted
        count = nodes.size
        flat = np.broadcast_to(spread, (count, *spread.shape)).copy()
        return Nodes(nodes, 1e-9 * weights, np.tile(middle, (count, 1)), flat, np.full(count, 10.0), lost)
    base, some, share = clean[: fine.size][fine], sample[fine], share[fine]
    lifts = fine.mean()
    if not size.continuous:
        mean = middle + (some - base).mean(axis=0)
        covariance = np.cov(some, rowvar=False)
        return Nodes(nodes, lifts * weights, mean[None], covariance[None], np.full(1, float(share.size)), lost)
    hats = _hats(share)
    bend = np.diff(np.eye(KNOTS), 2, axis=0)
    coefficients = np.linalg.solve(hats.T @ hats + 0.3 * bend.T @ bend, hats.T @ (some - base))
    residual = some - middle - hats @ coefficients
    near = np.exp(-0.5 * ((size.shares()[:, None] - share) / NEARNESS) ** 2)
    near /= near.sum(axis=1, keepdims=True)
    return Nodes(
        nodes,
        lifts * weights,
        middle + _hats(size.shares()) @ coefficients,
        np.einsum("gj,ja,jb->gab", near, residual, residual, optimize=True),
        1.0 / (near**2).sum(axis=1),
        lost,
    )


def expect(
    scene: Scene,
    conditions: Conditions,
    extra: Sequence[str] = (),
    seed: int = SEED,
    points: int = CLEAN_POINTS,
    causes: Sequence[Cause] = CAUSES,
) -> Expectations:
    """Work out what every applicable cause leads one to expect.

    Args:
        scene: the vehicle and the sheet.
        conditions: of the test as the sheet has it.
        extra: keys of further channels at the mark that were observed (others are kept only where a check reads them).
        seed: of the population.
        points: of the clean population; those of a component are by `CAUSE_POINTS`.
        causes: that are declared.

    Raises:
        NoLiftError: too few of the vehicles the file allows lift a wheel.
        UnphysicalError: the file allows vehicles that cannot exist.
    """
    cases = all_cases(scene)
    subject = population(scene, conditions, points, seed)
    components = components_of(applicable(scene, causes), scene)
    on_vehicle = [component for component in components if not component.on_reading_side]
    rng = np.random.default_rng(seed)
    counts = [CAUSE_POINTS.get(round(1.0 / component.share), LEAST_POINTS) for component in on_vehicle]
    shares = [(rng.permutation(count) + 0.5) / count for count in counts]
    sizes = [component.size.at(share) for component, share in zip(on_vehicle, shares, strict=True)]
    clean_worlds = see([(subject, {case: subject.in_case(case) for case in cases})], cases)[0]
    clean_worlds = with_model_error(clean_worlds, cases, seed)

    wanted = {key for check in checks(scene) for key in check.channels} | set(extra)
    channels = (
        *score_channels(scene),
        *(contest_channel(case) for case in scene.cases),
        *(channel for channel in observable_channels(scene) if channel.key in wanted),
    )
    clean = values(channels, seen(scene, clean_worlds, NOTHING, np.ones(points)))
    if _finite(clean).sum() < FEWEST_LIFTS:
        raise NoLiftError(
            f"only {_finite(clean).sum()} of {points} vehicles that this file allows lift a wheel on this ramp; "
            "look at what `predict` says of it first"
        )
    changed = climb_with(subject, on_vehicle, sizes, scene.runs)
    climbed = {
        component: _on_vehicle(
            clean,
            values(channels, seen(scene, with_model_error(worlds, scene.runs, seed), component, size)),
            share,
            component.size,
        )
        for component, worlds, size, share in zip(on_vehicle, changed, sizes, shares, strict=True)
    }
    nodes = [
        climbed[component] if component in climbed else _on_reading_side(scene, clean_worlds, component, channels)
        for component in components
    ]
    return _joined(scene, channels, components, nodes, clean)


def _joined(
    scene: Scene, channels: tuple[Channel, ...], components: tuple[Component, ...], nodes: Sequence[Nodes], clean: Array
) -> Expectations:
    """All nodes end to end with their priors, then the clean vehicle and none of these."""
    names = (*dict.fromkeys(component.name for component in components), CLEAN, OTHER)
    total = sum(component.weight for component in components)
    share = 1.0 - CLEAN_PRIOR - OTHER_PRIOR
    priors = [share * component.weight / total * one.weight for component, one in zip(components, nodes, strict=True)]
    middle, spread = _moments(clean)
    one, lost = np.ones(1), int((~_finite(clean)).sum())
    broad = _broad(scene, middle, spread, priors, nodes)
    every = [
        *nodes,
        Nodes(one, one, middle[None], spread[None], np.full(1, float(clean.shape[0])), lost),
        Nodes(one, one, middle[None], broad[None], np.full(1, OTHER_FREEDOM), 0),
    ]
    counts = [part.size.size for part in every]
    causes = [*(names.index(component.name) for component in components), len(names) - 2, len(names) - 1]
    return Expectations(
        scene=scene,
        channels=channels,
        index={channel.key: i for i, channel in enumerate(channels)},
        components=(*components, NOTHING),
        names=names,
        cause=np.repeat(causes, counts),
        component=np.repeat([*range(len(components) + 1), -1], counts),
        size=np.concatenate([part.size for part in every]),
        log_prior=np.log(np.concatenate([*priors, [CLEAN_PRIOR], [OTHER_PRIOR]])),
        mean=np.concatenate([part.mean for part in every]),
        covariance=np.concatenate([part.covariance for part in every]),
        freedom=np.concatenate([part.freedom for part in every]),
        clean=clean,
        lost=tuple(part.lost for part in every),
    )


def _broad(scene: Scene, middle: Array, spread: Array, priors: Sequence[Array], nodes: Sequence[Nodes]) -> Array:
    """Covariance where no declared cause is at work: scores may be anything, other channels as wide as all causes."""
    variance = sum(
        ((prior[:, None] * (part.mean - middle) ** 2).sum(axis=0) for prior, part in zip(priors, nodes, strict=True)),
        np.zeros(middle.size),
    )
    total = sum(float(prior.sum()) for prior in priors)
    broad = spread + np.diag(2.0 * variance / max(total, 1e-300))
    readings = len(scene.readings)
    scores = np.abs(middle[:readings])
    broad[:readings, :readings] = (
        spread[:readings, :readings] + OTHER_SHARED**2 * np.outer(scores, scores) + np.diag((OTHER_EACH * scores) ** 2)
    )
    return np.asarray(broad)
