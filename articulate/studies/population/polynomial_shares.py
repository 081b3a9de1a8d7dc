"""Shares of a variance from the points of a band alone: a sparse polynomial is fitted and its variance taken apart.

Each input gets polynomials that are orthonormal over its own sample (arbitrary polynomial chaos: Oladyshkin and
Nowak, Reliab. Eng. Syst. Saf. 106, 2012); terms of one input and of two are picked one after the other by what they
explain of the rest (orthogonal matching pursuit), and their number by the error left out one at a time (Blatman and
Sudret, J. Comput. Phys. 230, 2011; the correction for small samples is theirs). What no term explains is reported as
unresolved.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from articulate.studies.population.sensitivity import Shares, no_shares

Array = NDArray[np.float64]
_Term = tuple[tuple[int, int], ...]  # (input, degree) once or twice

HIGHEST_DEGREE = 10
PAIR_DEGREE = 8  # in sum over the two inputs, where there are few inputs
SINGLE_SHARE, PAIR_SHARE = 0.25, 0.25  # candidate terms over points
MOST_POINTS = 4096  # that are fitted: room and time grow with the square and more, and errors are small by then
PATIENCE = 12  # terms tried beyond the best
MOSTLY_TAKEN = 0.7  # of a candidate's length left beside the picked ones, below which that is worked out again


def polynomial_shares(samples: Mapping[str, Array], output: Array, groups: Sequence[tuple[str, ...]]) -> Shares:
    """First-order and total indices of groups of inputs from a sample.

    Args:
        samples: inputs, each (points,); independent between groups.
        output: (points,), not finite where there is none; those points are left out, and of many the first
            `MOST_POINTS` are fitted (of a Sobol sequence these are spread as evenly).
        groups: the inputs, tied ones together.

    Returns:
        Shares with standard errors: of the fitted coefficients' scatter, about sqrt(4 S e/n + 2 m (e/n)^2) for
        m terms and an unresolved share e; for total indices with e/2 beside it, as part of e may be theirs.
    """
    owner = np.array([place for place, group in enumerate(groups) for _ in group], dtype=np.intp)
    kept = np.flatnonzero(np.isfinite(output))[:MOST_POINTS]
    y = output[kept]
    method = "sparse polynomial" + (f" through the first {MOST_POINTS}" if output.size > MOST_POINTS else "")
    if y.size < 32 or np.ptp(y) <= 1e-9 * max(1.0, float(np.abs(y).max())) or not owner.size:
        return no_shares(groups, int(y.size), int(output.size), method)
    n, variance = y.size, float(y.var())
    inputs = np.array([samples[key] for group in groups for key in group])
    basis = _orthonormal(inputs[:, kept], int(np.clip(SINGLE_SHARE * n / owner.size, 1, HIGHEST_DEGREE)))
    centred = y - y.mean()
    single: list[_Term] = [((i, k),) for i in range(owner.size) for k in range(1, basis[i].shape[1] + 1)]
    rest = centred - _fit(_columns(basis, single), centred)[1].sum(axis=1)
    candidates = single + _pairs(basis, rest, n)
    chosen, parts, unresolved = _fit(_columns(basis, candidates), centred)
    terms = [candidates[k] for k in chosen]

    involved = np.zeros((len(terms), len(groups)), dtype=bool)
    for row, term in enumerate(terms):
        involved[row, [owner[i] for i, _ in term]] = True
    alone = involved & (involved.sum(axis=1) == 1)[:, None]
    epsilon = unresolved / n

    def share(mask: NDArray[np.bool_]) -> tuple[Array, Array]:
        values = np.zeros(len(groups))
        for g in np.flatnonzero(mask.any(axis=0)):
            values[g] = parts[:, mask[:, g]].sum(axis=1).var() / variance
        error = np.sqrt(4.0 * values * epsilon + 2.0 * np.maximum(mask.sum(axis=0), 1) * epsilon**2)
        return values, error

    first, first_error = share(alone)
    total, total_error = share(involved)
    total_error = np.hypot(total_error, 0.5 * unresolved)
    return Shares(
        tuple(groups), first, total, first_error, total_error, unresolved, variance, n, int(output.size), method
    )


def _orthonormal(x: Array, degree: int) -> list[Array]:
    """Polynomials 1..degree of each input (inputs, points), orthonormal over the sample and to 1.

    For each input (points, degree), or (points, 0) where it is the same at all points.
    """
    inputs, points = x.shape
    width = np.ptp(x, axis=1)
    live = np.flatnonzero(width)
    found = [np.empty((points, 0))] * inputs
    if live.size:
        varied, least = x[live], x[live].min(axis=1)[:, None]
        scaled = 2.0 * (varied - least) / width[live, None] - 1.0
        root, upper = np.linalg.qr(_legendre(scaled, degree))
        signs = np.sign(np.diagonal(upper, axis1=-2, axis2=-1))[:, None, :]
        for place, columns in zip(live, (root * signs)[:, :, 1:] * np.sqrt(points), strict=True):
            found[place] = columns
    return found


def _legendre(x: Array, degree: int) -> Array:
    """Legendre polynomials 0..degree on a last axis: k P_k = (2k - 1) x P_(k-1) - (k - 1) P_(k-2)."""
    found = [np.ones_like(x), x]
    for k in range(2, degree + 1):
        found.append((found[-1] * x * (2 * k - 1) - found[-2] * (k - 1)) / k)
    return np.stack(found, axis=-1)


def _columns(basis: Sequence[Array], terms: Sequence[_Term]) -> Array:
    """Values of the terms, (points, terms), mean zero."""
    columns = np.ones((basis[0].shape[0], len(terms)), order="F")
    for k, term in enumerate(terms):
        for i, degree in term:
            columns[:, k] *= basis[i][:, degree - 1]
    return np.asarray(columns - columns.mean(axis=0))


def _pairs(basis: Sequence[Array], rest: Array, points: int) -> list[_Term]:
    """Candidate terms of two inputs: those pairs whose product goes with what single inputs leave over."""
    live = [i for i, columns in enumerate(basis) if columns.shape[1]]
    linear = np.stack([basis[i][:, 0] for i in live], axis=1)
    match = np.abs(linear.T @ (rest[:, None] * linear)) / points
    if linear.shape[1] < 2:
        return []
    one, other = np.triu_indices(len(live), 1)
    room = int(PAIR_SHARE * points)
    few = PAIR_DEGREE * (PAIR_DEGREE - 1) // 2 * one.size <= room
    best = np.argsort(-match[one, other], kind="stable")[: one.size if few else room]
    terms: list[_Term] = []
    for rank, k in enumerate(best):
        highest = PAIR_DEGREE if few else (3 if rank < room // 8 else 2)
        i, j = live[one[k]], live[other[k]]
        terms += [
            ((i, a), (j, b))
            for a in range(1, min(highest, basis[i].shape[1] + 1))
            for b in range(1, min(highest - a, basis[j].shape[1]) + 1)
        ]
    return terms


def _fit(columns: Array, y: Array) -> tuple[NDArray[np.intp], Array, float]:
    """Pick terms by matching pursuit; returns the chosen columns, their parts (points, chosen) and the share left.

    The share left is that of predictions left out one at a time, from the leverages h: mean((r/(1-h))^2)/V, times
    n/(n-P) (1 + P/n) for P terms.
    """
    n = y.size
    size = np.sqrt((columns**2).mean(axis=0))
    usable = size > 1e-9
    scaled = columns / np.where(usable, size, 1.0)
    variance = float(y.var())
    products = scaled.T @ scaled
    match = scaled.T @ y  # of the candidates with what is left of y
    basis = np.empty((n, min(columns.shape[1], n // 3)), order="F")
    along = np.empty((columns.shape[1], basis.shape[1]), order="F")  # of the candidates with the picked directions
    leverage = np.full(n, 1.0 / n)
    rest = y.copy()
    picked: list[int] = []
    best, best_count = 1.0, 0
    while len(picked) < basis.shape[1] and len(picked) < best_count + PATIENCE:
        k = int(np.argmax(np.where(usable, np.abs(match), -1.0)))
        if not usable[k] or match[k] == 0.0:
            break
        usable[k] = False
        count = len(picked)
        taken, inside = basis[:, :count], along[k, :count]
        direction = scaled[:, k] - taken @ inside
        length = float(np.linalg.norm(direction))
        if length < MOSTLY_TAKEN * np.sqrt(n):  # twice is enough for orthogonality to rounding, and seldom needed
            part = taken.T @ direction
            direction -= taken @ part
            inside = inside + part
            length = float(np.linalg.norm(direction))
        if length < 1e-6 * np.sqrt(n):
            continue
        direction /= length
        gain = direction @ rest
        basis[:, count] = direction
        along[:, count] = (products[:, k] - along[:, :count] @ inside) / length
        match -= gain * along[:, count]
        rest -= gain * direction
        leverage += direction**2
        picked.append(k)
        count += 1
        left = float(((rest / np.maximum(1.0 - leverage, 1e-3)) ** 2).mean()) / variance
        left *= n / (n - count) * (1.0 + count / n)
        if left < best:
            best, best_count = left, count
    chosen = np.array(picked[:best_count], dtype=np.intp)
    orthogonal, columns = basis[:, : chosen.size], columns[:, chosen]
    weights = np.linalg.solve(np.triu(orthogonal.T @ columns), orthogonal.T @ y)  # least squares: columns = basis R
    return chosen, columns * weights, best
