"""The way up of a batch of climbs: the accepted nodes of their paths, lane by lane, and the states between them."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from articulate.model.balance import RampSystem
from articulate.solve.newton import Solution, solve_at
from articulate.solve.path import PathNodes

Array = NDArray[np.float64]
Lanes = NDArray[np.intp]


class WayUp:
    """Nodes of climbs, lane by lane in the order of the way, and what is between them."""

    def __init__(self, system: RampSystem, nodes: PathNodes, asked: NDArray[np.bool_]) -> None:
        """The nodes (lanes counted as in the system) of the lanes (lanes,) that are asked about."""
        mine = np.flatnonzero(asked[nodes.lane])
        order = mine[np.argsort(nodes.lane[mine], kind="stable")]
        self.system, self.order = system, order
        self.lane, self.climb = nodes.lane[order], nodes.parameter[order]
        self.state, self.tangent = nodes.state[order], nodes.tangent[order]
        self.after_jump = nodes.after_jump[order]

    @cached_property
    def _anchor(self) -> Array:
        return anchors_along(self.system, self.lane, self.state)

    def anchor(self, node: Lanes) -> Array:
        """Anchors of the friction elements from some nodes on, (k, 2, 2) [m]."""
        return self._anchor[node] if node.size else np.zeros((0, 2, 2))

    def after(self, segment: Lanes) -> Lanes:
        """The node after each; the last of a lane has none, and is only asked about at its own place."""
        return np.minimum(segment + 1, self.lane.size - 1)

    def between(self, segment: Lanes, share: Array) -> Array:
        """States (k, m) on the cubic from nodes (k,) to the next, at shares (k,); before a jump the node's own."""
        after = self.after(segment)
        h = (self.climb[after] - self.climb[segment])[:, None]
        f = share[:, None]
        cubic = (
            (1 + 2 * f) * (1 - f) ** 2 * self.state[segment]
            + f * (1 - f) ** 2 * h * self.tangent[segment]
            + f**2 * (3 - 2 * f) * self.state[after]
            + f**2 * (f - 1) * h * self.tangent[after]
        )
        return np.where(self.after_jump[after, None], self.state[segment], cubic)

    def solved(self, segment: Lanes, climb: Array) -> Solution:
        """States at climbs (k,) [m] within segments (k,), each named by the node that it begins at."""
        h = np.maximum(self.climb[self.after(segment)] - self.climb[segment], 1e-12)
        guess = self.between(segment, (climb - self.climb[segment]) / h)
        return solve_at(self.system.anchored(self.lane[segment], self.anchor(segment)), guess, climb)


def anchors_along(system: RampSystem, lane: Lanes, state: Array) -> Array:
    """Anchors of the friction elements from each node on, (nodes, 2, 2) [m]; nodes in the order of each lane's way."""
    anchors = np.zeros((lane.size, 2, 2))
    if system.friction is None or not lane.size:
        return anchors
    walker = system.take(np.arange(system.lanes))
    first = np.r_[True, lane[1:] != lane[:-1]]
    start = np.flatnonzero(first)
    rank = np.arange(lane.size) - np.repeat(start, np.diff(np.r_[start, lane.size]))
    resting = np.zeros((system.lanes, state.shape[1]))
    resting[lane[start]] = state[start]
    walker.relax(resting)
    for step in range(int(rank.max()) + 1):
        rows = np.flatnonzero(rank == step)
        walker.carry(lane[rows], state[rows])
        anchors[rows] = walker.anchor[lane[rows]]
    return anchors
