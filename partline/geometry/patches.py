"""Patches of a surface: which of some marked vertices hang together along edges."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.geometry.surface import Ints, Surface


def patches(surface: Surface, marked: NDArray[np.bool_], *, seeds: ArrayLike | None = None) -> Ints:
    """Return (n,) the number of the patch of each marked vertex, from 0; -1 for all others.

    Parameters
    ----------
    surface : Surface
    marked : (n,) bool
    seeds : (k,) int, optional
        Only the patches that hold one of these vertices are wanted; all of them if left out.
    """
    starts, ring = surface.ring
    begin = np.flatnonzero(marked) if seeds is None else np.asarray(seeds, dtype=np.int64)
    return np.asarray(_filled(starts, ring, marked, begin))


def way_leads(
    surface: Surface, open_: NDArray[np.bool_], sources: ArrayLike, targets: ArrayLike
) -> bool:
    """Tell whether a way along open vertices leads from any source to any target."""
    label = patches(surface, open_, seeds=sources)
    return bool((label[np.asarray(targets, dtype=np.int64)] >= 0).any())


def next_to(surface: Surface, marked: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell which vertices an edge joins to a marked one."""
    starts, ring = surface.ring
    return np.asarray(_next_to(starts, ring, np.flatnonzero(marked)))


@njit(nogil=True, cache=True)
def _next_to(starts, ring, vertices):  # type: ignore[no-untyped-def]
    found = np.zeros(len(starts) - 1, dtype=np.bool_)
    for v in vertices:
        for k in range(starts[v], starts[v + 1]):
            found[ring[k]] = True
    return found


@njit(nogil=True, cache=True)
def _filled(starts, ring, marked, seeds):  # type: ignore[no-untyped-def]
    """Fill each patch in turn from its first seed."""
    label = np.full(len(marked), -1, dtype=np.int32)
    stack = np.empty(len(marked), dtype=np.int32)
    count = 0
    for seed in seeds:
        if not marked[seed] or label[seed] >= 0:
            continue
        label[seed] = count
        stack[0], depth = seed, 1
        while depth > 0:
            depth -= 1
            v = stack[depth]
            for k in range(starts[v], starts[v + 1]):
                u = ring[k]
                if marked[u] and label[u] < 0:
                    label[u] = count
                    stack[depth] = u
                    depth += 1
        count += 1
    return label
