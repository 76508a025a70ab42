"""The cheapest path on points along the edges of some faces, to any of their corners.

Within a face and along an edge all points are joined by straight lines (Lanthier, Maheshwari and
Sack 2001). The lines are not listed: a search goes round the faces of each point it comes to.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.grouping import grouped
from partline.geometry.heap import TAKEN, put, take
from partline.geometry.surface import Floats, Ints, Surface, faces_round


def through_faces(
    surface: Surface,
    density: Floats,
    near: NDArray[np.bool_],
    source: int,
    goal: int,
    *,
    per_edge: int,
) -> tuple[Ints, Floats]:
    """Return the cheapest path in the faces whose corners are all near, as points on edges.

    Parameters
    ----------
    surface : Surface
    density : (n,) float64
        Cost per mm; infinite where no path may go [1].
    near : (n,) bool
    source, goal : int
        Vertices.
    per_edge : int
        Points on each edge.

    Returns
    -------
    ends : (k, 2) int32
        Of the edge that each point lies on; both the same at a vertex. The goal alone where
        nothing leads to it.
    share : (k,) float64
        Where on it, from the first (0) to the second (1) [1].
    """
    numbers = faces_round(surface, np.flatnonzero(near))
    numbers = numbers[near[surface.faces[numbers]].all(axis=1)]
    vertices, corner = np.unique(surface.faces[numbers], return_inverse=True)
    sides, side = np.unique(surface.face_edges[numbers], return_inverse=True)
    corner, side = corner.reshape(-1, 3), len(vertices) + side.reshape(-1, 3)
    # Nodes: the vertices, then the edges; each edge holds so many points.
    ends = np.concatenate([np.column_stack([vertices, vertices]), surface.edges[sides]])
    starts, round_ = grouped(
        np.concatenate([corner, side], axis=1).ravel(), len(vertices) + len(sides)
    )
    first, last = np.searchsorted(vertices, [source, goal])
    chain = _searched(
        surface.vertices[ends], density[ends], corner, side, starts, round_ // 6,
        len(vertices), per_edge, first, last,
    )  # fmt: skip
    edge, step = np.divmod(np.maximum(chain - len(vertices), 0), per_edge)
    inside = chain >= len(vertices)
    path = ends[np.where(inside, len(vertices) + edge, chain)]
    return path.astype(np.int32), np.where(inside, (step + 1) / (per_edge + 1), 0.0)


@njit(nogil=True, cache=True)
def _placed(points, density, count, per_edge):  # type: ignore[no-untyped-def]
    """Return the place of each node and its price."""
    size = count + (len(points) - count) * per_edge
    place, price = np.empty((size, 3)), np.empty(size)
    for v in range(count):
        place[v], price[v] = points[v, 0], density[v, 0]
    for e in range(count, len(points)):
        for k in range(per_edge):
            at, share = count + (e - count) * per_edge + k, (k + 1) / (per_edge + 1)
            place[at] = (1 - share) * points[e, 0] + share * points[e, 1]
            price[at] = (1 - share) * density[e, 0] + share * density[e, 1]
    return place, price


@njit(nogil=True, cache=True)
def _searched(points, density, corner, side, starts, round_, count, per_edge, source, goal):  # type: ignore[no-untyped-def]
    """Return the nodes of the cheapest path (Dijkstra 1959)."""
    spot, price = _placed(points, density, count, per_edge)
    size, n = 0, len(price)
    cost, before = np.full(n, np.inf), np.full(n, -1, dtype=np.int32)
    heap, place = np.empty(n, dtype=np.int32), np.full(n, -1, dtype=np.int32)
    cost[source] = 0.0
    size = put(heap, place, cost, size, source)
    while size > 0:
        v = take(heap, place, cost, size)
        size -= 1
        if v == goal:
            break
        owner = v if v < count else count + (v - count) // per_edge
        for row in range(starts[owner], starts[owner + 1]):
            face = round_[row]
            for k in range(3 + 3 * per_edge):
                if k < 3:
                    u = corner[face, k]
                else:
                    edge, step = divmod(k - 3, per_edge)
                    u = count + (side[face, edge] - count) * per_edge + step
                if place[u] == TAKEN or not price[u] < np.inf:
                    continue
                x, y, z = spot[u, 0] - spot[v, 0], spot[u, 1] - spot[v, 1], spot[u, 2] - spot[v, 2]
                length = np.sqrt(x * x + y * y + z * z)
                there = cost[v] + max(length * (price[u] + price[v]) / 2, 1e-300)
                if there < cost[u]:
                    cost[u], before[u] = there, v
                    size = put(heap, place, cost, size, u)
    return _back(before, goal)


@njit(nogil=True, cache=True)
def _back(before, goal):  # type: ignore[no-untyped-def]
    """Return the nodes on the way to one, from its start on."""
    count, at = 1, goal
    while before[at] >= 0:
        at = before[at]
        count += 1
    chain = np.empty(count, dtype=np.int64)
    at = goal
    for k in range(count - 1, -1, -1):
        chain[k] = at
        at = before[at]
    return chain
