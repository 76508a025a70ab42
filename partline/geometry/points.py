"""Points in one pass over memory: how far they reach, where a motion takes them, on paper."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats


@njit(cache=True, nogil=True)
def _span(points: Floats, axes: Floats, out: Floats) -> None:
    for j in range(axes.shape[0]):
        a, b, c = axes[j, 0], axes[j, 1], axes[j, 2]
        low, high = np.inf, -np.inf
        for k in range(points.shape[0]):
            far = points[k, 0] * a + points[k, 1] * b + points[k, 2] * c
            low, high = min(low, far), max(high, far)
        out[0, j], out[1, j] = low, high


@njit(cache=True, nogil=True)
def _moved(points: Floats, turn: Floats, shift: Floats, out: Floats) -> None:
    for k in range(points.shape[0]):
        x, y, z = points[k, 0], points[k, 1], points[k, 2]
        for j in range(3):
            out[k, j] = x * turn[j, 0] + y * turn[j, 1] + z * turn[j, 2] + shift[j]


@njit(cache=True, nogil=True)
def _flattened(points: Floats, axes: Floats, out: Floats) -> None:
    for k in range(points.shape[0]):
        for j in range(axes.shape[0]):
            out[k, j] = (
                points[k, 0] * axes[j, 0] + points[k, 1] * axes[j, 1] + points[k, 2] * axes[j, 2]
            )


def span(points: Floats, axes: ArrayLike) -> Floats:
    """Return the (2, k) lowest and highest of (n, 3) points along (k, 3) axes [mm].

    Of no points at all it is inf and -inf.
    """
    along = np.ascontiguousarray(axes, dtype=np.float64)
    out = np.empty((2, len(along)))
    _span(np.ascontiguousarray(points, dtype=np.float64), along, out)
    return out


def moved(points: Floats, turn: ArrayLike, shift: ArrayLike = (0.0, 0.0, 0.0)) -> Floats:
    """Return (n, 3) points after a (3, 3) turn and a (3,) shift [mm].

    The same to the last bit whatever else the machine does: nothing is shared out to threads.
    """
    out = np.empty((len(points), 3))
    _moved(np.ascontiguousarray(points, dtype=np.float64),
           np.ascontiguousarray(turn, dtype=np.float64),
           np.ascontiguousarray(shift, dtype=np.float64), out)  # fmt: skip
    return out


def flattened(points: Floats, axes: ArrayLike) -> Floats:
    """Return the (n, k) places of (n, 3) points along (k, 3) axes [mm]."""
    along = np.ascontiguousarray(axes, dtype=np.float64)
    out = np.empty((len(points), len(along)))
    _flattened(np.ascontiguousarray(points, dtype=np.float64), along, out)
    return out
