"""Batched Gaussian elimination, lanes fastest in memory.

No rows are exchanged: at a stable equilibrium the negative Jacobian is close to symmetric positive definite, where
elimination without exchange is stable and all pivots are positive; the number of negative pivots counts the
unstable directions (Sylvester's law of inertia). A lane with a vanishing pivot returns values that are not finite,
and no other lane is touched.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def eliminate_in_place(work: Array) -> tuple[Array, NDArray[np.intp]]:
    """Solve matrix x = right in every lane.

    Args:
        work: (lanes, m, m + k), the matrix and k right-hand sides beside it; overwritten.

    Returns:
        x, (lanes, m, k), and the number of negative pivots, (lanes,).
    """
    lanes, m, _ = work.shape
    negative = np.zeros(lanes, dtype=np.intp)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for k in range(m):
            pivot = work[:, k, k]
            negative += pivot < 0.0
            work[:, k, k + 1 :] /= pivot[:, None]
            if k + 1 < m:
                work[:, k + 1 :, k + 1 :] -= work[:, k + 1 :, k, None] * work[:, k, None, k + 1 :]
        for k in range(m - 1, 0, -1):
            work[:, :k, m:] -= work[:, :k, k, None] * work[:, k, None, m:]
    return work[:, :, m:], negative
