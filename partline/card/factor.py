"""An incomplete factor of the guide's matrix, with which conjugate gradients settle in few rounds.

The modified one keeps the row sums of the whole matrix (Gustafsson 1978, "A class of first order
factorization methods"); in so far as it does not keep them all it is safe where a node has hardly
any neighbours.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.surface import Floats

_KEPT = 0.97  # of what is dropped from a row so much goes to its diagonal


@njit(nogil=True, cache=True)
def factor(neighbours: NDArray[np.int64], conduct: Floats, diagonal: Floats) -> Floats:
    """Return (n,) the pivots.

    Parameters
    ----------
    neighbours : (n, 6) int64
        Along +x +y +z -x -y -z, the last three of lower number; -1 where none.
    conduct : (n, 6) float64
        What each node exchanges with them.
    diagonal : (n,) float64
    """
    pivots = diagonal.copy()
    for i in range(len(pivots)):
        for low in range(3, 6):
            j = neighbours[i, low]
            if j < 0:
                continue
            dropped = 0.0
            for high in range(3):
                if high != low - 3 and neighbours[j, high] >= 0:
                    dropped += conduct[j, high]
            pivots[i] -= conduct[i, low] * (conduct[i, low] + _KEPT * dropped) / pivots[j]
        if pivots[i] < 0.25 * diagonal[i]:
            pivots[i] = diagonal[i]
    return pivots


@njit(nogil=True, cache=True)
def applied(
    neighbours: NDArray[np.int64], conduct: Floats, pivots: Floats, right: Floats
) -> Floats:
    """Return (n,) what the factor and its mirror image make of a right side."""
    out = np.empty(len(right))
    for i in range(len(right)):
        total = right[i]
        for low in range(3, 6):
            if neighbours[i, low] >= 0:
                total += conduct[i, low] * out[neighbours[i, low]]
        out[i] = total / pivots[i]
    for i in range(len(right) - 1, -1, -1):
        total = 0.0
        for high in range(3):
            if neighbours[i, high] >= 0:
                total += conduct[i, high] * out[neighbours[i, high]]
        out[i] += total / pivots[i]
    return out
