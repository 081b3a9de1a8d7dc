"""From a scene to what would be seen: the population, the causes that can be at work in it, and their climbs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.measure.conversions import Radii, climb_of, reading_of
from articulate.spec import Swept, VehicleSpec, build, build_bodywork, build_whole
from articulate.studies.audit.cause import NO_RADII, Cause, Reading, Scene
from articulate.studies.audit.channels import Channel, Seen
from articulate.studies.audit.reading_causes import ALONG_SLOPE, MARK_HEIGHTS, READING_CAUSES
from articulate.studies.audit.sizes import NO_SIZE, Size
from articulate.studies.audit.vehicle_causes import VEHICLE_CAUSES
from articulate.studies.audit.worlds import Subject, Worlds, see
from articulate.studies.population.conditions import Conditions, draw, tests_of
from articulate.studies.population.model_error import ModelError
from articulate.types import Case, other_side, ramp_wheel

Array = NDArray[np.float64]

MOST_LANES = 4096  # of a population
CAUSES = (*READING_CAUSES, *VEHICLE_CAUSES)


@dataclass(frozen=True, eq=False, repr=False)
class Component(Brief):
    """One cause in one place; `cause` is None for a clean vehicle."""

    cause: Cause | None
    variant: str
    share: float  # of its cause's prior

    @property
    def on_reading_side(self) -> bool:
        """Whether the vehicle climbed as it should and was misread."""
        return self.cause is not None and self.cause.on_reading_side

    @property
    def name(self) -> str:
        """Of its cause."""
        return self.cause.name if self.cause is not None else ""

    @property
    def size(self) -> Size:
        """Prior over its size."""
        return self.cause.size if self.cause is not None else NO_SIZE

    @property
    def weight(self) -> float:
        """Its share of the prior among all causes, up to a common factor."""
        return self.cause.weight * self.share if self.cause is not None else 0.0


def applicable(scene: Scene, causes: Sequence[Cause] = CAUSES) -> tuple[Cause, ...]:
    """The causes that can be at work on this vehicle and sheet."""
    return tuple(cause for cause in causes if cause.applies(scene))


def components_of(causes: Sequence[Cause], scene: Scene) -> tuple[Component, ...]:
    """Every cause in every place it may sit."""
    return tuple(Component(cause, place, share) for cause in causes for place, share in cause.variants(scene).items())


def possible_vehicles(scene: Scene, conditions: Conditions, points: int, seed: int) -> Subject:
    """Possible vehicles of the file, clean, and the ramp as the sheet has it."""
    samples = draw(scene.spec, conditions, points, seed)
    inputs = {key: values for key, values in samples.items() if not key.startswith("test.")}
    vehicles, body = build_whole(scene.spec, inputs, Swept(beyond_stops=True))
    lanes = max((values.size for values in samples.values()), default=1)
    if vehicles.lanes != lanes:  # the test alone is uncertain
        vehicles = vehicles.take(np.zeros(lanes, dtype=np.intp))
    return Subject(vehicles, tests_of(conditions, samples, lanes), np.broadcast_to(body.arch_gap, (lanes, 2)).copy())


def with_model_error(
    worlds: Worlds,
    cases: Sequence[Case],
    model: ModelError,
    seed: int,
    lanes: NDArray[np.intp] | None = None,
) -> Worlds:
    """Runs scattered by the model's own error: a part alike in all runs of a vehicle, a part by run.

    Climb and posture at the mark go together: a vehicle whose wheel lifts sooner is not as far over then. The same seed
    gives the same scatter to the same lane (all if None) of the same place in `cases`.
    """
    if model.total == 0.0:
        return worlds
    mine = np.arange(worlds.points) if lanes is None else lanes
    scatter = _scatter(1 + len(cases), seed)[:, mine]
    angle = worlds.subject.test.angle
    runs = {
        case: worlds.runs[case].further(1.0 + model.common * scatter[0] + model.run * scatter[1 + k], angle)
        for k, case in enumerate(cases)
        if case in worlds.runs
    }
    return replace(worlds, runs=runs)


@lru_cache(maxsize=4)  # every component of an audit asks for the same
def _scatter(rows: int, seed: int) -> Array:
    return np.random.default_rng(seed).standard_normal((rows, MOST_LANES))


def all_cases(scene: Scene) -> tuple[Case, ...]:
    """The sheet's kinds of run, and their left-right counterparts (for sides swapped)."""
    return tuple(dict.fromkeys([*scene.runs, *(Case(other_side(case.side), case.bars) for case in scene.cases)]))


def rightly_read(scene: Scene, worlds: Worlds, reading: Reading) -> Array:
    """Climb the sheet makes of a run that was read as it says, on the ramp that is really there, (points,) [m].

    The reading is that of the real ramp; the conversion uses the sheet's angle and radii.
    """
    run, angle = worlds.runs[reading.case], worlds.subject.test.angle
    climbing = ramp_wheel(reading.case.side)
    flat = worlds.rest_hub[:, climbing]
    read = reading_of(reading.kind, run.climb, angle, Radii(flat, run.hub_distance))
    if worlds.subject.heading is not None and reading.kind in ALONG_SLOPE:  # taped square to the toe
        read = read * np.cos(worlds.subject.heading)
    if worlds.subject.give is not None and reading.kind in MARK_HEIGHTS:  # the mark sinks with the ramp
        read = read - worlds.subject.give[:, 0] * run.wheel_load[:, climbing] * np.cos(angle)
    taken = scene.radius_on_flat.get(reading.case)
    used_flat = flat if taken is None else np.full_like(flat, taken)
    loss = scene.radius_loss.get(reading.case)  # where the radius at the mark was not measured
    used_ramp = run.hub_distance if loss is None else used_flat - loss
    return climb_of(reading.kind, read, scene.angle, Radii(used_flat, used_ramp))


def all_rightly_read(scene: Scene, worlds: Worlds) -> list[Array]:
    """`rightly_read` of every reading; climbs of one run read in one way are the same to the model."""
    found = {(one.case, one.kind): one for one in scene.readings}
    climbs = {place: rightly_read(scene, worlds, one) for place, one in found.items()}
    return [climbs[one.case, one.kind] for one in scene.readings]


def seen(
    scene: Scene, worlds: Worlds, component: Component, size: Array, rightly: Sequence[Array] | None = None
) -> Seen:
    """What the sheet makes of worlds with a component at work.

    Args:
        scene: the vehicle and its readings.
        worlds: (points,) of them.
        component: cause and place.
        size: of the cause, (points,), or (nodes, 1) where every size meets all points [SI].
        rightly: climbs the sheet makes of them rightly read, by reading (points,) [m]; worked out if None.
    """
    true = [worlds.taped(reading.case) for reading in scene.readings]
    read = list(rightly) if rightly is not None else all_rightly_read(scene, worlds)
    cause = component.cause
    if cause is None or cause.distort is None:
        return Seen(worlds, read, true, cause, size, component.variant)
    wrong = cause.distort(scene, worlds, read, size, component.variant)
    moved = [at + change - was for at, change, was in zip(true, wrong, read, strict=True)]
    return Seen(worlds, wrong, moved if cause.mark_stands else true, cause, size, component.variant)


def values(channels: Sequence[Channel], what: Seen) -> Array:
    """All channels of all points, (points, channels)."""
    return np.stack([channel.value(what) for channel in channels], axis=1)


def as_it_stands(
    worlds: Worlds, component: Component, clean: Worlds, lanes: slice | NDArray[np.intp] | None = None
) -> Worlds:
    """Worlds of a component, at rest like the clean ones of the same lanes (the first if None) where it says so."""
    if component.cause is None or not component.cause.rest_as_filed:
        return worlds
    return worlds.at_rest_as(clean, slice(0, worlds.points) if lanes is None else lanes)


def climb_with(
    subject: Subject, components: Sequence[Component], sizes: Sequence[Array], cases: Sequence[Case]
) -> list[Worlds]:
    """Worlds with vehicle-side components at work, one a component.

    Args:
        subject: the possible vehicles; cut to as many as a component has sizes.
        components: at work, one after the other.
        sizes: of each component, (points,) [SI].
        cases: that climb.
    """
    variants = []
    for component, size in zip(components, sizes, strict=True):
        assert component.cause is not None
        some = subject.take(slice(0, size.size))
        variants.append(component.cause.vehicles(some, cases, size, component.variant))
    return see(variants, cases) if variants else []


def scene_of(
    spec: VehicleSpec,
    readings: Sequence[Reading],
    angle: float,
    used_wheelbase: float,
    radius_on_flat: Mapping[Case, float] = NO_RADII,
    radius_loss: Mapping[Case, float] = NO_RADII,
    sheet_radius: float | None = None,
) -> Scene:
    """A scene from a vehicle, its readings and what the sheet counts with.

    Args:
        spec: the vehicle file.
        readings: of the sheet.
        angle: of the ramp [rad].
        used_wheelbase: that scores are counted with [m].
        radius_on_flat: of the loaded climbing wheel, measured, by case [m].
        radius_loss: taken off it at the mark where that was not measured, by case [m].
        sheet_radius: on the flat, as the sheet has it [m]; None where it has none.

    Raises:
        UnphysicalError: the vehicle cannot exist.
    """
    arch = build_bodywork(spec).arch_gap
    wheelbase = spec.inputs["wheelbase"].value
    return Scene(
        spec,
        build(spec),
        arch,
        tuple(readings),
        angle,
        wheelbase,
        used_wheelbase,
        radius_on_flat,
        radius_loss,
        sheet_radius,
    )
