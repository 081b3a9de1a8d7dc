"""What every cause leads one to expect of every channel, with its prior: all nodes of all components."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.errors import ArticulateError
from articulate.studies.audit.cause import Cause, Scene
from articulate.studies.audit.channels import Channel, contest_channel, observable_channels, score_channels
from articulate.studies.audit.checks import checks
from articulate.studies.audit.nodes import (
    FEWEST_LIFTS,
    Base,
    Nodes,
    finite,
    nodes_of_population,
    nodes_of_readings,
    nodes_of_sizes,
)
from articulate.studies.audit.possible import (
    CAUSES,
    Component,
    all_cases,
    all_rightly_read,
    applicable,
    as_it_stands,
    climb_with,
    components_of,
    possible_vehicles,
    seen,
    values,
    with_model_error,
)
from articulate.studies.audit.worlds import Worlds, see
from articulate.studies.population.conditions import Conditions
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, ModelError
from articulate.studies.population.sampling import SEED

Array = NDArray[np.float64]

CLEAN, OTHER = "nothing is wrong", "none of these"
# Of results that need an explanation one in ten is taken to have one that no list has, or two at once. Judgement.
CLEAN_PRIOR, OTHER_PRIOR = 0.5, 0.05
CLEAN_POINTS = 512
CAUSE_POINTS = 24  # of a cause in each place it may sit
OTHER_SHARED, OTHER_EACH = 0.20, 0.08  # sd of a score where none of these causes is at work
OTHER_FREEDOM = 8.0
NOTHING = Component(None, "", 1.0)


class NoLiftError(ArticulateError, ValueError):
    """Too few of the possible vehicles lift a wheel for their scores to be judged."""


@dataclass(frozen=True, eq=False, repr=False)
class Expectations(Brief):
    """Every node of every component: what is expected there, and how surely.

    Nodes lie in `mean` (nodes, channels) and `covariance` (nodes, channels, channels); the last ones are those
    of the clean vehicle and of none of these. `lost` counts the climbs without a lift that were left out, by component.
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
    clean_mean: Array  # (channels,), of the clean population
    clean_covariance: Array  # (channels, channels)
    model: ModelError


def expect(
    scene: Scene,
    conditions: Conditions,
    extra: Sequence[str] = (),
    seed: int = SEED,
    points: int = CLEAN_POINTS,
    causes: Sequence[Cause] = CAUSES,
    model: ModelError | None = None,
) -> Expectations:
    """Work out what every applicable cause leads one to expect.

    Args:
        scene: the vehicle and the sheet.
        conditions: of the test as the sheet has it.
        extra: keys of further channels at the mark that were observed (others are kept only where a check reads them).
        seed: of the population.
        points: of the clean population; those of a component go by `CAUSE_POINTS`.
        causes: that are declared.
        model: its own error; the assumed one if None.

    Raises:
        NoLiftError: too few of the vehicles the file allows lift a wheel.
        UnphysicalError: the file allows vehicles that cannot exist.
    """
    error = model if model is not None else ASSUMED_MODEL_ERROR
    cases = all_cases(scene)
    subject = possible_vehicles(scene, conditions, points, seed)
    components = components_of(applicable(scene, causes), scene)
    on_vehicle = [component for component in components if not component.on_reading_side]
    rng = np.random.default_rng(seed)
    count = min(CAUSE_POINTS, points)
    shares = [(rng.permutation(count) + 0.5) / count for _ in on_vehicle]
    sizes = [component.size.at(share) for component, share in zip(on_vehicle, shares, strict=True)]
    clean_worlds = see([(subject, {case: subject.in_case(case) for case in cases})], cases)[0]
    clean_worlds = with_model_error(clean_worlds, cases, error, seed)

    wanted = {key for check in checks(scene) for key in check.channels} | set(extra)
    channels = (
        *score_channels(scene),
        *(contest_channel(case) for case in scene.cases),
        *(channel for channel in observable_channels(scene) if channel.key in wanted),
    )
    clean = values(channels, seen(scene, clean_worlds, NOTHING, np.ones(points)))
    if finite(clean).sum() < FEWEST_LIFTS:
        raise NoLiftError(
            f"only {finite(clean).sum()} of {points} vehicles that this file allows lift a wheel on this ramp; "
            "look at what articulate predict says of it first"
        )
    changed = climb_with(subject, on_vehicle, sizes, scene.runs)
    base = Base.of(clean)
    of_reading = [i for i, channel in enumerate(channels) if channel.of_reading]
    rightly = all_rightly_read(scene, clean_worlds)

    def on_the_day(component: Component, worlds: Worlds) -> Worlds:
        return as_it_stands(with_model_error(worlds, scene.runs, error, seed), component, clean_worlds)

    def on_reading_side(component: Component, place: Array) -> Nodes:
        sizes = component.size.nodes()[0]
        read = seen(scene, clean_worlds, component, sizes[:, None], rightly)
        found = {i: channels[i].value(read) for i in of_reading}
        other = [i for i, values in found.items() if ((values != clean[:, i]) & base.kept).any()]
        samples = np.empty((sizes.size, len(other), points))
        for column, i in enumerate(other):
            samples[:, column] = found[i]
        return nodes_of_readings(base, samples, np.array(other, dtype=np.intp), component.size, place)

    def on_vehicle_side(component: Component, place: Array) -> Nodes:
        worlds, size, share = climbed[component]
        found = values(channels, seen(scene, on_the_day(component, worlds), component, size))
        return nodes_of_sizes(base, found, share, component.size, place)

    climbed = dict(zip(on_vehicle, zip(changed, sizes, shares, strict=True), strict=True))
    kept: dict[Component, Nodes] = {}
    # Covariances are made where they stay, one component after the other: they are most of what an audit keeps.
    counts = {component: component.size.nodes()[0].size for component in components}
    covariance, end = np.empty((sum(counts.values()) + 2, len(channels), len(channels))), 0
    for component in components:
        place = covariance[end : end + counts[component]]
        nodes = (on_reading_side if component.on_reading_side else on_vehicle_side)(component, place)
        if _tells(scene, component, nodes, base):
            kept[component], end = nodes, end + counts[component]
    return _joined(
        scene, channels, tuple(kept), [*kept.values(), nodes_of_population(base)], covariance[: end + 2], clean, error
    )


def _tells(scene: Scene, component: Component, nodes: Nodes, clean: Base) -> bool:
    """Whether a component moves the scores by as much as it has to [sd of what is expected], somewhere in its prior."""
    least = component.cause.least_contrast if component.cause is not None else 0.0
    if least == 0.0:
        return True
    scores = slice(0, len(scene.readings))
    scatter = np.array([reading.uncertainty for reading in scene.readings])
    moved = nodes.mean[:, scores] - clean.mean[scores]
    solved = np.linalg.solve(clean.covariance[scores, scores] + np.diag(scatter**2), moved.T)
    return bool((moved * solved.T).sum(axis=1).max() >= least**2)


def _joined(
    scene: Scene,
    channels: tuple[Channel, ...],
    components: tuple[Component, ...],
    nodes: Sequence[Nodes],
    covariance: Array,
    clean: Array,
    model: ModelError,
) -> Expectations:
    """All nodes end to end with their priors (the last those of the clean vehicle), then none of these.

    covariance: (nodes, channels, channels), that of the last two to be put in.
    """
    names = (*dict.fromkeys(component.name for component in components), CLEAN, OTHER)
    total = sum(component.weight for component in components)
    rest = 1.0 - CLEAN_PRIOR - OTHER_PRIOR
    shares = [*(rest * component.weight / total for component in components), CLEAN_PRIOR]
    priors = [share * one.weight for share, one in zip(shares, nodes, strict=True)]
    middle, spread = nodes[-1].mean[0], nodes[-1].covariance[0]
    one = np.ones(1)
    covariance[-2] = spread
    covariance[-1] = _broad(scene, middle, spread, priors[:-1], nodes[:-1])
    every = [*nodes, Nodes(one, one, middle[None], covariance[-1:], np.full(1, OTHER_FREEDOM), 0)]
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
        log_prior=np.log(np.concatenate([*priors, [OTHER_PRIOR]])),
        mean=np.concatenate([part.mean for part in every]),
        covariance=covariance,
        freedom=np.concatenate([part.freedom for part in every]),
        clean=clean,
        lost=tuple(part.lost for part in every),
        clean_mean=middle,
        clean_covariance=spread,
        model=model,
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
