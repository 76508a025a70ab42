"""Who is whose neighbour on a triangle mesh: edges and rings, in compiled loops."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.cores import in_parts

_Ints = NDArray[np.int32]
_Longs = NDArray[np.int64]
_ROWS = 1 << 16
# Fewer entries than these are sorted by moving each to its place.
_FEW = 48


def edges_of(faces: _Ints, starts: _Longs, fan: _Longs) -> _Ints:
    """Return the (e, 2) undirected edges, each once, smaller vertex number first, sorted.

    Parameters
    ----------
    faces : (m, 3) int32
    starts : (n + 1,) int64
        Where the faces round each vertex start in `fan`.
    fan : (3 m,) int64
    """
    n = len(starts) - 1
    # Each face round a vertex names two others.
    others = np.empty(2 * len(fan), dtype=np.int32)
    count = np.zeros(n + 1, dtype=np.int64)
    in_parts(lambda a, b: _larger(faces, starts, fan, others, count, a, b), n, _ROWS)
    begins = np.cumsum(count)
    edges = np.empty((begins[-1], 2), dtype=np.int32)
    in_parts(lambda a, b: _packed(starts, others, begins, edges, a, b), n, _ROWS)
    return edges


@njit(nogil=True, cache=True)
def _larger(faces, starts, fan, others, count, first, stop):  # type: ignore[no-untyped-def]
    """Leave the neighbours of each vertex that are no smaller than it, each once, sorted."""
    for v in range(first, stop):
        low = at = 2 * starts[v]
        for k in range(starts[v], starts[v + 1]):
            f = fan[k]
            # A face that names a vertex twice is an edge from it to itself.
            same = 0
            for corner in range(3):
                other = faces[f, corner]
                if other == v:
                    same += 1
                elif other > v:
                    others[at] = other
                    at += 1
            if same > 1:
                others[at] = v
                at += 1
        count[v + 1] = sorted_once(others[low:at])


@njit(nogil=True, cache=True)
def sorted_once(numbers):  # type: ignore[no-untyped-def]
    """Sort numbers in place, each once; return how many those are."""
    if len(numbers) > _FEW:
        numbers.sort()
    else:
        for k in range(1, len(numbers)):
            number = numbers[k]
            place = k
            while place > 0 and numbers[place - 1] > number:
                numbers[place] = numbers[place - 1]
                place -= 1
            numbers[place] = number
    many = 0
    for k in range(len(numbers)):
        if k == 0 or numbers[k] != numbers[k - 1]:
            numbers[many] = numbers[k]
            many += 1
    return many


@njit(nogil=True, cache=True)
def _packed(starts, others, begins, edges, first, stop):  # type: ignore[no-untyped-def]
    for v in range(first, stop):
        low = 2 * starts[v]
        for k in range(begins[v], begins[v + 1]):
            edges[k, 0] = v
            edges[k, 1] = others[low + k - begins[v]]


@njit(nogil=True, cache=True)
def ring_of(edges: _Ints, n: int) -> tuple[_Longs, _Ints]:
    """Return where each vertex's neighbours start in a list, (n + 1,), and the list, (2 e,).

    The larger ones come first, both parts rising.

    Parameters
    ----------
    edges : (e, 2) int32
        From `edges_of`.
    n : int
        How many vertices there are.
    """
    starts = np.zeros(n + 1, dtype=np.int64)
    larger = np.zeros(n, dtype=np.int64)
    for k in range(len(edges)):
        larger[edges[k, 0]] += 1
        starts[edges[k, 1] + 1] += 1
    for v in range(n):
        starts[v + 1] += starts[v] + larger[v]
    ring = np.empty(2 * len(edges), dtype=np.int32)
    place = starts[:n] + larger
    at = 0
    for v in range(n):
        for k in range(larger[v]):
            other = edges[at, 1]
            ring[starts[v] + k] = other
            ring[place[other]] = v
            place[other] += 1
            at += 1
    return starts, ring
