"""What each cause leads one to expect of every channel: means and covariances over the nodes of its size.

For a cause on the reading side every node is worked out on the clean population itself. For a cause on the vehicle
side every point of the population is climbed again with its own size, drawn from the prior; the change against the
clean climb of the same point is a smooth function of the size (linear spline, least squares), and the covariance at a
node is that of the residuals near it. Both contain the whole spread of the uncertain inputs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.measure.conversions import climb_of, reading_of
from articulate.model.vehicles import Vehicles
from articulate.spec import VehicleSpec, build, build_bodywork
from articulate.studies.audit.cause import Cause, Reading, Scene
from articulate.studies.audit.channels import (
    Channel,
    Seen,
    contest_channel,
    observable_channels,
    score_channels,
)
from articulate.studies.audit.checks import checks
from articulate.studies.audit.reading_causes import READING_CAUSES
from articulate.studies.audit.vehicle_causes import VEHICLE_CAUSES
from articulate.studies.audit.worlds import Subject, Worlds, see
from articulate.studies.parallel import on_cores
from articulate.studies.population import Case, Conditions, draw, lanes_of
from articulate.studies.sampling import SEED

Array = NDArray[np.float64]

CLEAN, OTHER = "nothing is wrong", "none of these"
CLEAN_PRIOR, OTHER_PRIOR = 0.5, 0.03
CLEAN_POINTS = 512
CAUSE_POINTS = {1: 128, 2: 96, 3: 80}  # of each component, by the number of places its cause may sit in
LEAST_POINTS = 64
PIECES = 2  # batches in which they climb, on as many cores; more would make each climb slower
SHARED_MODEL_ERROR, RUN_MODEL_ERROR = 0.007, 0.003  # sd, of the climb; effects the model leaves out
OTHER_SHARED, OTHER_EACH = 0.20, 0.08  # sd of a score where none of these causes is at work
KNOTS = 8
NEARNESS = 0.14  # sd of the kernel over shares of the size's prior


@dataclass(frozen=True, eq=False)
class Component:
    """One cause in one place; `cause` is None for a clean vehicle."""

    cause: Cause | None
    variant: str
    share: float  # of its cause's prior


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


CAUSES = (*READING_CAUSES, *VEHICLE_CAUSES)


def applicable(scene: Scene, causes: Sequence[Cause] = CAUSES) -> tuple[Cause, ...]:
    """The causes that can be at work on this vehicle and sheet."""
    return tuple(cause for cause in causes if cause.applies(scene))


def components_of(causes: Sequence[Cause], scene: Scene) -> tuple[Component, ...]:
    """Every cause in every place it may sit."""
    found = []
    for cause in causes:
        places = cause.variants(scene)
        found += [Component(cause, place, 1.0 / len(places)) for place in places]
    return tuple(found)


def population(scene: Scene, conditions: Conditions, points: int, seed: int) -> Subject:
    """Possible vehicles of the file, clean, and the ramp as the sheet has it."""
    samples = draw(scene.spec, conditions, points, seed)
    vehicles, test = lanes_of(scene.spec, conditions, samples)
    inputs = {key: values for key, values in samples.items() if not key.startswith("test.")}
    arch = build_bodywork(scene.spec, inputs).arch_gap
    return Subject(vehicles, test, np.broadcast_to(arch, (vehicles.lanes, 2)).copy())


def with_model_error(worlds: Worlds, cases: Sequence[Case], seed: int, lanes: NDArray[np.intp] | None = None) -> Worlds:
    """Climbs scattered by what the model leaves out: some alike in all runs, some by run.

    The same seed gives the same scatter to the same lane (all if None) of the same place in `cases`.
    """
    mine = np.arange(worlds.points) if lanes is None else lanes
    scatter = np.random.default_rng(seed).standard_normal((1 + len(cases), 4096))[:, mine]
    runs = {}
    for k, case in enumerate(cases):
        if case not in worlds.runs:
            continue
        factor = 1.0 + SHARED_MODEL_ERROR * scatter[0] + RUN_MODEL_ERROR * scatter[1 + k]
        runs[case] = replace(worlds.runs[case], climb=worlds.runs[case].climb * factor)
    return replace(worlds, runs=runs)


def all_cases(scene: Scene) -> tuple[Case, ...]:
    """The sheet's kinds of run, and their left-right counterparts (for sides swapped)."""
    other = {"left": "right", "right": "left"}
    return tuple(dict.fromkeys([*scene.runs, *(Case(other[case.side], case.bars) for case in scene.cases)]))


def rightly_read(scene: Scene, worlds: Worlds, reading: Reading) -> Array:
    """Climb the sheet makes of a run that was read as it says, on the ramp that is really there, (points,) [m].

    The reading is that of the real ramp; the conversion uses the sheet's angle and radii.
    """
    run, angle = worlds.runs[reading.case], worlds.subject.test.angle
    flat = worlds.rest_hub[:, 0 if reading.case.side == "left" else 1]
    read = reading_of(reading.kind, run.climb, angle, flat, run.hub_distance)
    used_flat = flat if scene.radius_on_flat is None else scene.radius_on_flat
    used_ramp = run.hub_distance if scene.radius_on_ramp is None else scene.radius_on_ramp
    return climb_of(reading.kind, read, scene.angle, used_flat, used_ramp)


def seen(scene: Scene, worlds: Worlds, component: Component, size: Array) -> Seen:
    """What the sheet makes of worlds with a component at work."""
    true = [worlds.runs[reading.case].climb for reading in scene.readings]
    read = [rightly_read(scene, worlds, reading) for reading in scene.readings]
    cause = component.cause
    if cause is None or cause.distort is None:
        return Seen(worlds, read, true, cause, size)
    wrong = cause.distort(scene, worlds, read, size, component.variant)
    moved = [at + change - was for at, change, was in zip(true, wrong, read, strict=True)]
    return Seen(worlds, wrong, moved if cause.mark_stands else true, cause, size)


def values(channels: Sequence[Channel], what: Seen) -> Array:
    """All channels of all points, (points, channels)."""
    return np.stack([channel.value(what) for channel in channels], axis=1)


def climb_with(
    subject: Subject, components: Sequence[Component], sizes: Sequence[Array], cases: Sequence[Case]
) -> list[Worlds]:
    """Worlds with vehicle-side components at work; `subject` cut to as many points as there are sizes."""
    variants = []
    for component, size in zip(components, sizes, strict=True):
        assert component.cause is not None
        some = subject.take(slice(0, size.size))
        variants.append(component.cause.vehicles(some, cases, size, component.variant))
    climbs = len(cases) * sum(size.size for size in sizes)
    pieces = [(variants[start::PIECES], tuple(cases)) for start in range(min(PIECES, len(variants)))]
    found = on_cores(_climbed, pieces, climbs)
    return [found[i % PIECES][i // PIECES] for i in range(len(variants))]


def _climbed(piece: tuple[Sequence[tuple[Subject, dict[Case, Vehicles]]], tuple[Case, ...]]) -> list[Worlds]:
    variants, cases = piece
    return see(variants, cases)


def _moments(sample: Array) -> tuple[Array, Array, int]:
    fine = np.isfinite(sample).all(axis=1)
    kept = sample[fine]
    return kept.mean(axis=0), np.cov(kept, rowvar=False), int((~fine).sum())


def _hats(share: Array) -> Array:
    """Linear splines over (0, 1), (points, KNOTS)."""
    knots = np.linspace(0.0, 1.0, KNOTS)
    return np.maximum(0.0, 1.0 - np.abs(share[:, None] - knots) * (KNOTS - 1))


def _over_size(clean: Array, changed: Array, share: Array, nodes: Array) -> tuple[Array, Array, Array, int]:
    """Mean and covariance at the nodes from points with sizes at `share` of the prior; see the module's head."""
    fine = np.isfinite(changed).all(axis=1) & np.isfinite(clean[: share.size]).all(axis=1)
    lost = int((~fine).sum())
    base, some, share = clean[: fine.size][fine], changed[fine], share[fine]
    middle = clean[np.isfinite(clean).all(axis=1)].mean(axis=0)
    hats = _hats(share)
    bend = np.diff(np.eye(KNOTS), 2, axis=0)
    weight = hats.T @ hats + 0.3 * bend.T @ bend
    coefficients = np.linalg.solve(weight, hats.T @ (some - base))
    residual = some - middle - hats @ coefficients
    near = np.exp(-0.5 * ((nodes[:, None] - share) / NEARNESS) ** 2)
    near /= near.sum(axis=1, keepdims=True)
    covariance = np.einsum("gj,ja,jb->gab", near, residual, residual, optimize=True)
    return middle + _hats(nodes) @ coefficients, covariance, 1.0 / (near**2).sum(axis=1), lost


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
    """
    cases = all_cases(scene)
    subject = population(scene, conditions, points, seed)
    components = components_of(applicable(scene, causes), scene)
    clean_one = Component(None, "", 1.0)
    on_vehicle = [c for c in components if c.cause is not None and not c.cause.on_reading_side]
    rng = np.random.default_rng(seed)
    counts = [CAUSE_POINTS.get(round(1.0 / component.share), LEAST_POINTS) for component in on_vehicle]
    shares = [(rng.permutation(count) + 0.5) / count for count in counts]
    sizes = [c.cause.size.at(share) for c, share in zip(on_vehicle, shares, strict=True) if c.cause is not None]
    clean_worlds = see([(subject, {case: subject.in_case(case) for case in cases})], cases)[0]
    clean_worlds = with_model_error(clean_worlds, cases, seed)
    changed = climb_with(subject, on_vehicle, sizes, scene.runs)
    changed = [with_model_error(worlds, scene.runs, seed) for worlds in changed]

    wanted = {key for check in checks(scene) for key in check.channels} | set(extra)
    channels = (
        *score_channels(scene),
        *(contest_channel(case) for case in scene.cases),
        *(channel for channel in observable_channels(scene) if channel.key in wanted),
    )
    clean = values(channels, seen(scene, clean_worlds, clean_one, np.ones(points)))
    middle, spread, lost_clean = _moments(clean)

    called = tuple(dict.fromkeys(c.cause.name for c in components if c.cause is not None))
    names = (*called, CLEAN, OTHER)
    total = sum(c.cause.weight * c.share for c in components if c.cause is not None)
    parts: list[tuple[Array, Array, Array, Array, Array]] = []  # sizes, log prior, mean, covariance, freedom
    owners: list[tuple[int, int]] = []
    lost = []
    found_on_vehicle = iter(zip(changed, shares, sizes, strict=True))
    for i, component in enumerate(components):
        cause = component.cause
        assert cause is not None
        nodes, weights = cause.size.nodes()
        mine = (1.0 - CLEAN_PRIOR - OTHER_PRIOR) * cause.weight * component.share / total
        valid = 1.0
        if cause.on_reading_side:
            moments = [
                _moments(values(channels, seen(scene, clean_worlds, component, np.full(points, size))))
                for size in nodes
            ]
            mean = np.array([m for m, _, _ in moments])
            covariance = np.array([c for _, c, _ in moments])
            freedom = np.full(nodes.size, float(points))
            lost.append(moments[0][2])
        else:
            worlds, share, size = next(found_on_vehicle)
            sample = values(channels, seen(scene, worlds, component, size))
            if cause.size.continuous:
                mean, covariance, freedom, gone = _over_size(clean, sample, share, cause.size.shares())
            else:
                one_mean, one_covariance, gone = _moments(sample)
                base = clean[: share.size]
                both = np.isfinite(base).all(axis=1) & np.isfinite(sample).all(axis=1)
                one_mean = middle + (sample - base)[both].mean(axis=0)
                mean, covariance, freedom = one_mean[None], one_covariance[None], np.full(1, float(share.size))
            valid = max(1.0 - gone / share.size, 1e-3)
            lost.append(gone)
        parts.append((nodes, np.log(mine * valid * weights), mean, covariance, freedom))
        owners.append((names.index(cause.name), i))
    lost.append(lost_clean)

    broad = _broad(scene, middle, spread, parts)
    one = np.ones(1)
    parts.append((one, np.log([CLEAN_PRIOR]), middle[None], spread[None], np.full(1, float(points))))
    owners.append((len(called), len(components)))
    parts.append((one, np.log([OTHER_PRIOR]), middle[None], broad[None], np.full(1, 8.0)))
    owners.append((len(called) + 1, -1))
    nodes_of = [part[0].size for part in parts]
    return Expectations(
        scene=scene,
        channels=channels,
        index={channel.key: i for i, channel in enumerate(channels)},
        components=(*components, clean_one),
        names=names,
        cause=np.repeat([owner for owner, _ in owners], nodes_of),
        component=np.repeat([place for _, place in owners], nodes_of),
        size=np.concatenate([part[0] for part in parts]),
        log_prior=np.concatenate([part[1] for part in parts]),
        mean=np.concatenate([part[2] for part in parts]),
        covariance=np.concatenate([part[3] for part in parts]),
        freedom=np.concatenate([part[4] for part in parts]),
        clean=clean,
        lost=tuple(lost),
    )


def _broad(
    scene: Scene, middle: Array, spread: Array, parts: Sequence[tuple[Array, Array, Array, Array, Array]]
) -> Array:
    """Covariance where no declared cause is at work: scores may be anything, other channels as wide as all causes."""
    weight = np.concatenate([np.ones(0), *(np.exp(part[1]) for part in parts)])
    means = np.concatenate([middle[None][:0], *(part[2] for part in parts)])
    variance = (weight[:, None] * (means - middle) ** 2).sum(axis=0) / max(float(weight.sum()), 1e-300)
    broad = spread + np.diag(2.0 * variance)
    readings = len(scene.readings)
    scores = np.abs(middle[:readings])
    broad[:readings, :readings] = (
        spread[:readings, :readings] + OTHER_SHARED**2 * np.outer(scores, scores) + np.diag((OTHER_EACH * scores) ** 2)
    )
    return np.asarray(broad)


def scene_of(
    spec: VehicleSpec,
    readings: Sequence[Reading],
    angle: float,
    used_wheelbase: float,
    radius_on_flat: float | None = None,
    radius_on_ramp: float | None = None,
) -> Scene:
    """A scene from a vehicle, its readings and what the sheet counts with."""
    arch = build_bodywork(spec).arch_gap
    wheelbase = spec.inputs["wheelbase"].value
    return Scene(
        spec, build(spec), arch, tuple(readings), angle, wheelbase, used_wheelbase, radius_on_flat, radius_on_ramp
    )
