"""Pairs of vertices that arcs join, made once a graph, and each pair's price, made in one pass.

Two arcs may join the same pair, an edge and a shortcut; a pair is served by the cheaper.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.grouping import grouped
from partline.geometry.surface import Ints


@dataclass(frozen=True, eq=False)
class Wiring:
    """The pairs of vertices that arcs join, as rows of a sparse matrix.

    Attributes
    ----------
    keys : (b,) int64
        The pairs, smaller * n + larger, each once, sorted.
    order : (a,) int32
        Arcs, those of each pair together.
    begins : (b + 1,) int32
        Where the arcs of each pair begin in `order`.
    starts : (n + 1,) int32
        Where the row of each vertex begins.
    columns, pair : (2 b,) int32
        The other vertex, rising in each row, and the pair.
    """

    keys: NDArray[np.int64]
    order: Ints
    begins: Ints
    starts: Ints
    columns: Ints
    pair: Ints


def wiring_of(start: Ints, stop: Ints, n: int) -> Wiring:
    """Return the pairs among n vertices that arcs join."""
    key = np.minimum(start, stop).astype(np.int64) * n + np.maximum(start, stop)
    order = np.argsort(key, kind="stable").astype(np.int32)
    key = key[order]
    begins = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]])[: len(key)])
    keys = key[begins]
    low, high = np.divmod(keys, max(n, 1))
    # Entries below the diagonal come by the smaller vertex, those above by the larger: each row
    # has its smaller neighbours first, both rising.
    both = np.concatenate([high, low])
    starts, rows = grouped(both, n)
    columns = np.concatenate([low, high]).astype(np.int32)[rows]
    pair = np.where(rows < len(keys), rows, rows - len(keys)).astype(np.int32)
    return Wiring(keys, order, np.append(begins, len(key)).astype(np.int32),
                  starts.astype(np.int32), columns, pair)  # fmt: skip


@njit(nogil=True, cache=True)
def cheapest_arcs(density, start, stop, across, share, length, first, order, begins):  # type: ignore[no-untyped-def]
    """Return for each pair of vertices the cheapest arc between them and its cost.

    The cost of an arc is its length times the density, by the trapezium rule over both parts of
    it; infinite where an end, or an end of the edge that is crossed, is blocked (infinite).
    """
    pairs = len(begins) - 1
    arc = np.empty(pairs, dtype=np.int32)
    price = np.empty(pairs)
    for j in range(pairs):
        arc[j], price[j] = order[begins[j]], np.inf
        for k in range(begins[j], begins[j + 1]):
            at = order[k]
            one, two = density[start[at]], density[stop[at]]
            low, high = density[across[at, 0]], density[across[at, 1]]
            if one + two + low + high == np.inf:
                continue
            middle = (1 - share[at]) * low + share[at] * high
            cost = first[at] * (one + middle) / 2 + (length[at] - first[at]) * (middle + two) / 2
            if cost < price[j]:
                arc[j], price[j] = at, cost
    return arc, price


@njit(nogil=True, cache=True)
def open_entries(price, starts, columns, pair):  # type: ignore[no-untyped-def]
    """Return the rows of a sparse matrix without the pairs that nothing joins."""
    n = len(starts) - 1
    size = 0
    for at in range(len(pair)):
        size += np.isfinite(price[pair[at]])
    pointers = np.zeros(n + 1, dtype=np.int32)
    indices = np.empty(size, dtype=np.int32)
    data = np.empty(size)
    size = 0
    for v in range(n):
        for at in range(starts[v], starts[v + 1]):
            cost = price[pair[at]]
            if np.isfinite(cost):
                indices[size] = columns[at]
                # An arc of no length must not look like a missing entry.
                data[size] = max(cost, 1e-300)
                size += 1
        pointers[v + 1] = size
    return data, indices, pointers
