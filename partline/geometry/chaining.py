"""Directed edges laid end to end in closed chains."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray


def chained(
    starts: NDArray[np.int64], stops: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the edges in the order of closed chains, and where in that order each chain begins.

    Parameters
    ----------
    starts, stops : (k,) int64
        What each edge runs from and to; as many edges begin at a place as end there.

    Returns
    -------
    order : (k,) int64
    begins : (c,) int64
    """
    after = np.empty(len(starts), dtype=np.int64)
    # The k-th that ends at a place is followed by the k-th that begins there: a permutation.
    after[np.argsort(stops, kind="stable")] = np.argsort(starts, kind="stable")
    return _circles(after)


@njit(cache=True, nogil=True)
def _circles(after: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return a permutation laid out circle by circle, and where each begins."""
    order, begins = np.empty_like(after), np.empty_like(after)
    done = np.zeros(len(after), dtype=np.bool_)
    at, circles = 0, 0
    for first in range(len(after)):
        if done[first]:
            continue
        begins[circles] = at
        circles += 1
        here = first
        while not done[here]:
            done[here] = True
            order[at] = here
            at += 1
            here = after[here]
    return order, begins[:circles]
