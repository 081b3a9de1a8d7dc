"""The measurand of a run sheet: its inputs, and every climb, score, gain and difference as a function of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from articulate.measure.conversions import MissingRadiusError, Radii, climb_of, score_of
from articulate.measure.defaults import CLIMB_PER_TOUCH_LOAD
from articulate.measure.propagation import InputQuantity
from articulate.measure.run_sheet import RunEntry, RunSheet
from articulate.measure.scatter import climb_scatter, reading_error
from articulate.spec.quantities import Estimate
from articulate.types import BAR_STATES, SIDES

Array = NDArray[np.float64]
SideAndBars = tuple[str, str]  # of a case; the side may be "both"
Output = tuple[str | int, ...]  # what, and of which run or case

TOUCH_LOAD = "touch load"
RAMP_ANGLE = "ramp angle"
WHEELBASE = "wheelbase"
TAPE = "tape"
RADIUS_ON_FLAT = "radius on flat"
RADIUS_ON_RAMP = "radius on ramp"
RADIUS_LOSS = "radius loss"


@dataclass(frozen=True)
class CaseHints:
    """What a model of the vehicle says of one case, where the sheet does not."""

    climb_per_touch_load: Estimate  # [m/N]
    radius_on_flat: Estimate  # [m]
    radius_loss: Estimate  # [m]


def input_of(name: str, estimate: Estimate, basis: str = "") -> InputQuantity:
    """An estimate as an input of the propagation, with its mean."""
    skew, shape = 0.5, estimate.distribution
    if shape == "triangular":
        skew = (estimate.value - estimate.low) / (estimate.high - estimate.low)
    return InputQuantity(
        name,
        estimate.mean,
        estimate.standard_uncertainty,
        shape="normal" if shape == "exact" else shape,
        skew=skew,
        unit=estimate.unit,
        unit_size=estimate.unit_size,
        source=estimate.source,
        basis=basis or estimate.basis,
    )


def _about_zero(limit: Estimate) -> Estimate:
    """An error between plus and minus a limit."""
    most = limit.high
    return Estimate(0.0, -most, most, "rectangular", limit.source, limit.basis, limit.unit, limit.unit_size)


class SheetMeasurand:
    """The measurand of a sheet: its inputs, and its outputs as functions of them."""

    def __init__(self, sheet: RunSheet, hints: Mapping[SideAndBars, CaseHints], carried_to: float = 0.0) -> None:
        self.sheet, self.hints, self.carried_to = sheet, hints, carried_to
        self.inputs: list[InputQuantity] = []
        self.climbs: list[Callable[[Mapping[str, Array]], Array]] = []
        self.cases = self._cases()
        self.sides_with_gain = [
            side for side in (*SIDES, "both") if all((side, bars) in self.cases for bars in BAR_STATES)
        ]
        self.bars_on_both = [bars for bars in BAR_STATES if ("both", bars) in self.cases]
        self._shared_inputs()
        self.scatter = climb_scatter(sheet, self._climbs())
        for entry in sheet.runs:
            self._run_inputs(entry)
        # A run that is alone in its case is that case.
        self.own_runs = [entry for entry in sheet.runs if len(self.entries(*entry.case)) > 1]
        self.names: list[Output] = [
            *((what, entry.number) for what in ("climb", "score") for entry in self.own_runs),
            *((what, *case) for what in ("climb", "score", "carried") for case in self.cases),
            *(("gain", side) for side in self.sides_with_gain),
            *(("difference", bars) for bars in self.bars_on_both),
        ]

    def _cases(self) -> list[SideAndBars]:
        own = list(self.sheet.cases)
        both = [("both", bars) for bars in BAR_STATES if all((side, bars) in own for side in SIDES)]
        return own + both

    def entries(self, side: str, bars: str) -> list[RunEntry]:
        """The runs of a case; those of either side where the side is "both"."""
        return [entry for entry in self.sheet.runs if entry.bars == bars and side in (entry.side, "both")]

    # Inputs

    def _shared_inputs(self) -> None:
        sheet = self.sheet
        limit = sheet.tape_limit
        self.inputs += [
            input_of(RAMP_ANGLE, sheet.ramp_angle),
            input_of(WHEELBASE, sheet.wheelbase),
            input_of(TAPE, _about_zero(limit), f"largest error of the tape, the same for all readings; {limit.basis}"),
            input_of(TOUCH_LOAD, sheet.touch_load),
        ]
        for case in sheet.cases:
            hint = self.hints.get(case)
            given = sheet.climb_per_touch_load or (hint.climb_per_touch_load if hint else None)
            self.inputs.append(input_of(_per_load(case), given or CLIMB_PER_TOUCH_LOAD.estimate()))
        self.flat: dict[SideAndBars, str] = {}
        # A radius, what comes off it, and what the model takes off.
        self.ramp: dict[SideAndBars, tuple[str, str, float]] = {}
        kinds = {case: [e.kind for e in sheet.runs if e.case == case] for case in sheet.cases}
        for case in sheet.cases:
            if any(kind.needs_radius_on_flat for kind in kinds[case]):
                self.flat[case] = self._radius_on_flat(case)
            if any(kind.needs_radius_on_ramp for kind in kinds[case]):
                self.ramp[case] = self._radius_on_ramp(case)

    def _once(self, name: str, estimate: Estimate) -> str:
        if all(quantity.name != name for quantity in self.inputs):
            self.inputs.append(input_of(name, estimate))
        return name

    def _radius_on_flat(self, case: SideAndBars) -> str:
        if self.sheet.radius_on_flat:
            return self._once(RADIUS_ON_FLAT, self.sheet.radius_on_flat)
        if case in self.hints:
            return self._once(f"{RADIUS_ON_FLAT}, {case[0]}", self.hints[case].radius_on_flat)
        kind = next(e.kind for e in self.sheet.runs if e.case == case and e.kind.needs_radius_on_ramp)
        raise MissingRadiusError(kind, "the hub's height over flat ground (wheel.radius_on_flat)")

    def _radius_on_ramp(self, case: SideAndBars) -> tuple[str, str, float]:
        if self.sheet.radius_on_ramp:
            return self._once(RADIUS_ON_RAMP, self.sheet.radius_on_ramp), "", 0.0
        flat = self._radius_on_flat(case)
        hint = self.hints.get(case)
        if hint is None or self.sheet.radius_loss.source != "assumed":
            return flat, self._once(RADIUS_LOSS, self.sheet.radius_loss), 0.0
        # The model errs alike in every case, mostly by the tyre's stiffness.
        loss = hint.radius_loss
        error = replace(loss, value=0.0, low=loss.low - loss.value, high=loss.high - loss.value)
        return flat, self._once(f"error of {RADIUS_LOSS}", error), loss.value

    def _reading(self, entry: RunEntry) -> InputQuantity:
        """The mean reading of a run, with what it leaves open."""
        first = entry.readings[0]
        error = reading_error(self.sheet, entry)
        return InputQuantity(
            f"{entry.kind.words}, run {entry.number}",
            float(np.mean([reading.value for reading in entry.readings])),
            error.u,
            shape=error.shape,
            unit=first.unit,
            unit_size=first.unit_size,
            source="measured" if error.from_sheet else "assumed",
            basis=error.basis,
        )

    def _run_inputs(self, entry: RunEntry) -> None:
        sheet, number = self.sheet, entry.number
        reading = self._reading(entry)
        mark = _about_zero(sheet.marking)
        names = [reading.name, f"marking, run {number}", f"roll-back, run {number}"]
        self.inputs += [reading, input_of(names[1], mark), input_of(names[2], sheet.roll_back)]
        repeats = f"repeatability, run {number}"
        count = len(entry.readings)
        self.inputs.append(
            InputQuantity(
                repeats,
                0.0,
                self.scatter.deviation / math.sqrt(count),
                dof=self.scatter.dof,
                evaluated_together="repeats",
                unit="mm",
                unit_size=1e-3,
                source="measured" if self.scatter.shown else sheet.repeatability.source,
                basis=f"{self.scatter.basis}, over the root of {count}" if count > 1 else self.scatter.basis,
            )
        )
        touch = sheet.nominal_touch_load
        per_load = _per_load(entry.case)

        def climb(x: Mapping[str, Array]) -> Array:
            on_hub = entry.kind.on_hub
            read = x[reading.name] + x[TAPE] + (x[names[1]] if on_hub else 0.0)
            found = self._climb_of(entry, read, x)
            if not on_hub:
                found = found + x[names[1]]
            return np.asarray(found + x[repeats] + x[names[2]] + x[per_load] * (touch - x[TOUCH_LOAD]))

        self.climbs.append(climb)

    def _climb_of(self, entry: RunEntry, reading: Array, x: Mapping[str, Array]) -> Array:
        flat = x[self.flat[entry.case]] if entry.kind.needs_radius_on_flat else None
        ramp = None
        if entry.kind.needs_radius_on_ramp:
            radius, loss, modelled = self.ramp[entry.case]
            ramp = x[radius] - modelled - x[loss] if loss else x[radius]
        return climb_of(entry.kind, reading, x[RAMP_ANGLE], Radii(flat, ramp))

    def _climbs(self) -> list[list[float]]:
        """The climbs of each case, every reading by itself [m]."""
        centre = {quantity.name: np.asarray(quantity.estimate) for quantity in self.inputs}
        return [
            [
                float(self._climb_of(entry, np.asarray(reading.value), centre))
                for entry in self.entries(*case)
                for reading in entry.readings
            ]
            for case in self.sheet.cases
        ]

    # Outputs

    def outputs(self, x: Mapping[str, Array]) -> Array:
        """Every output by the order of `names`, (points, outputs)."""
        climbs = np.stack([climb(x) for climb in self.climbs]).T
        wheelbase = x[WHEELBASE]
        scores = score_of(climbs, wheelbase[:, None])
        own = [entry.number - 1 for entry in self.own_runs]
        columns = [*(climbs[:, k] for k in own), *(scores[:, k] for k in own)]
        mean = {case: self._weights(*case) for case in self.cases}
        columns += [climbs @ mean[case] for case in self.cases]
        score = {case: scores @ mean[case] for case in self.cases}
        columns += [score[case] for case in self.cases]
        off = self.sheet.nominal_touch_load - self.carried_to
        for side, bars in self.cases:
            cases = [case for case in self.sheet.cases if case[1] == bars and side in (case[0], "both")]
            missing = np.mean([x[_per_load(case)] for case in cases], axis=0) * off
            columns.append(score[side, bars] - score_of(missing, wheelbase))
        columns += [score[side, "released"] - score[side, "connected"] for side in self.sides_with_gain]
        columns += [score["left", bars] - score["right", bars] for bars in self.bars_on_both]
        return np.stack(columns).T

    def _weights(self, side: str, bars: str) -> Array:
        """Weights of the runs in a case's mean: each climb counts the same, then each side does."""
        sides: Sequence[str] = SIDES if side == "both" else (side,)
        weights = np.zeros(len(self.sheet.runs))
        for one in sides:
            chosen = self.entries(one, bars)
            total = sum(len(entry.readings) for entry in chosen)
            for entry in chosen:
                weights[entry.number - 1] = len(entry.readings) / (total * len(sides))
        return weights

    def remarks(self) -> list[str]:
        """What whoever reads the result should know."""
        said = list(self.sheet.remarks)
        found = self.scatter.shown
        if found is None:
            said.append("no run was repeated: how far climbs made anew scatter is assumed")
        elif found.climb > 2.0 * self.sheet.repeatability.high:
            points = 1000.0 * found.climb / self.sheet.wheelbase.value
            said.append(
                f"climbs made anew scatter by {points:.3g} points (1 sd), twice what was to be expected or more: look "
                "for what changed between them"
            )
        if self.sheet.climb_per_touch_load is None and not self.hints:
            said.append("how the climb changes with the touch load is assumed; a vehicle file would give it")
        lifted = {entry.lifted for entry in self.sheet.runs if entry.lifted and not entry.lifted.startswith("rear")}
        said += [f"{wheel} lifted first: not the usual rear wheel of the ramp side" for wheel in sorted(lifted)]
        return said


def _per_load(case: SideAndBars) -> str:
    return f"climb per touch load, {', '.join(case)}"
