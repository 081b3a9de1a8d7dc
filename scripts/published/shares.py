"""Which inputs make the bands of the published vehicles as wide as they are: mean total shares of the variance."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from articulate.output.layout import wrapped
from articulate.studies.population.polynomial_shares import polynomial_shares
from articulate.studies.population.runs import Population
from articulate.studies.population.ties import tied_groups

from .holding import Simulated
from .results import kind_of

NAMED = 18  # groups of inputs printed


@dataclass(frozen=True)
class Influence:
    """A group of inputs over all vehicles: its total index, the variance left when all else is known."""

    keys: tuple[str, ...]
    mean: float  # over all vehicles, 0 where a vehicle has no such input
    largest: float
    where: str  # vehicle of the largest
    by_kind: dict[str, float]  # mean over the vehicles of a kind


def influences(simulated: Simulated) -> tuple[Influence, ...]:
    """Total shares of the connected score's variance by the inputs alone, the largest mean first."""
    totals: dict[tuple[str, ...], dict[str, float]] = defaultdict(dict)
    kinds = {}
    for vehicle, (spec, runs) in simulated.items():
        people = Population.of(spec)
        first = next(iter(runs.ends))
        found = polynomial_shares(runs.samples, runs.ends[first].score, tied_groups(people.keys, people.ties))
        kinds[vehicle] = kind_of(spec, first.bars)
        for keys, total in zip(found.groups, found.total, strict=True):
            totals[keys][vehicle] = float(np.nan_to_num(total))
    told = []
    for keys, of in totals.items():
        where = max(of, key=lambda vehicle: of[vehicle])
        by_kind = {
            kind: sum(of.get(v, 0.0) for v in kinds if kinds[v] == kind) / sum(k == kind for k in kinds.values())
            for kind in dict.fromkeys(kinds.values())
        }
        told.append(Influence(keys, sum(of.values()) / len(simulated), of[where], where, by_kind))
    return tuple(sorted(told, key=lambda one: -one.mean))


def influences_text(found: tuple[Influence, ...]) -> str:
    """The largest shares, by kind of suspension too."""
    kinds = list(found[0].by_kind)
    lines = ["", "share of the variance of the connected score that stays when only these are open"]
    lines += [wrapped(f"kinds {', '.join(f'{k + 1} {kind}' for k, kind in enumerate(kinds))}"), ""]
    lines.append(f"{'mean':>6s}" + "".join(f"{k + 1:>6d}" for k in range(len(kinds))) + f"{'most':>6s}  where, inputs")
    for one in found[:NAMED]:
        parts = "".join(f"{100.0 * one.by_kind[kind]:6.0f}" for kind in kinds)
        lines.append(f"{100.0 * one.mean:6.1f}{parts}{100.0 * one.largest:6.0f}  {one.where} {' + '.join(one.keys)}")
    return "\n".join(lines)
