"""Cheapest ways from some vertices, as far as they are asked for.

Arcs are priced as they are reached, so a search costs what it visits, whatever the size of the
surface, and a change of price costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.geometry.arcs import Arcs, price_of
from partline.geometry.heap import TAKEN, put, take
from partline.geometry.surface import Floats, Ints

_NO_MARKS = np.zeros(0, dtype=np.bool_)
_NO_COSTS = np.zeros(0)


@dataclass(frozen=True, eq=False)
class Ways:
    """The cheapest way to each vertex that was reached.

    Attributes
    ----------
    cost : (n,) float64
        Infinite where no way leads for as little as was allowed [mm].
    before : (n,) int32
        The vertex before; -1 at a start and where none leads.
    branch : (n,) int32
        The first vertex of the way that is no start; -1 at a start and where none leads.
    goal : int
        The first of the vertices to stop at that was reached; -1 for none.
    """

    cost: Floats
    before: Ints
    branch: Ints
    goal: int = -1

    def chain(self, vertex: int) -> Ints:
        """Return the vertices from the nearest start to one that was reached."""
        found = [vertex]
        while self.before[found[-1]] >= 0:
            found.append(int(self.before[found[-1]]))
        return np.array(found[::-1], dtype=np.int32)

    def start(self, vertices: NDArray[np.integer]) -> NDArray[np.integer]:
        """Return the start of the way to each of some vertices; itself where it is one."""
        branch = self.branch[vertices]
        return np.where(branch < 0, vertices, self.before[branch])


def spread(
    arcs: Arcs,
    density: Floats,
    sources: ArrayLike,
    *,
    at_cost: ArrayLike | None = None,
    until: NDArray[np.bool_] = _NO_MARKS,
    within: NDArray[np.bool_] = _NO_MARKS,
    limit: float = np.inf,
    beyond: Floats = _NO_COSTS,
) -> Ways:
    """Return the cheapest ways from the nearest of some vertices (Dijkstra 1959).

    Parameters
    ----------
    arcs : Arcs
    density : (n,) float64
        Cost per mm, greater than 0 and infinite where no way may lead [1].
    sources : (k,) int
    at_cost : (k,) float64, optional
        What it costs to be at each of them; nothing if left out [mm].
    until : (n,) bool, optional
        Vertices at the first of which the search stops; what is dearer is not reached then.
    within : (n,) bool, optional
        The only vertices that may be entered.
    limit : float
        The dearest way that is wanted [mm].
    beyond : (n,) float64, optional
        What leads on from each vertex costs at least so much: those over which a way costs more
        than the limit in all are left out [mm].
    """
    n = len(density)
    cost = np.full(n, np.inf)
    begun = np.asarray(sources, dtype=np.int64)
    # Of a vertex that is named twice the lesser counts.
    np.minimum.at(cost, begun, 0.0 if at_cost is None else at_cost)
    before, branch = np.full(n, -1, dtype=np.int32), np.full(n, -1, dtype=np.int32)
    goal = _spread(arcs, density, begun, until, within, limit, beyond,
                   cost, before, branch)  # fmt: skip
    return Ways(cost, before, branch, int(goal))


@njit(nogil=True, cache=True)
def _spread(arcs, density, sources, until, within, limit, beyond, cost, before, branch):  # type: ignore[no-untyped-def]
    """Fill the cost, the vertex before and the branch of each vertex; return where it stopped."""
    ends, form = arcs.ends, arcs.form
    starts, columns, number = arcs.starts, arcs.columns, arcs.number
    n = len(density)
    heap, place, size = np.empty(n, dtype=np.int32), np.full(n, -1, dtype=np.int32), 0
    for v in sources:
        size = put(heap, place, cost, size, v)
    goal = -1
    while size > 0:
        v = take(heap, place, cost, size)
        size -= 1
        if len(until) > 0 and until[v]:
            goal = v
            break
        for at in range(starts[v], starts[v + 1]):
            u = columns[at]
            if place[u] == TAKEN or (len(within) > 0 and not within[u]):
                continue
            # Two vertices at one place: no step may cost nothing.
            price = max(price_of(ends, form, number[at], density), 1e-300)
            there = cost[v] + price
            if there >= cost[u] or there > limit:
                continue
            if len(beyond) > 0 and there + beyond[u] > limit:
                continue
            cost[u] = there
            before[u] = v
            branch[u] = u if before[v] < 0 else branch[v]
            size = put(heap, place, cost, size, u)
    # What was only seen from afar when the search stopped has no cost yet.
    for k in range(size):
        cost[heap[k]], before[heap[k]], branch[heap[k]] = np.inf, -1, -1
    return goal
