"""Where air stays, flooded vertex by vertex; shares no code with the analysis.

Vertices are let in one by one from high to low and joined with the neighbours already there; a
vertex with all its neighbours below it, and cavity above it, is joined with the ceiling over it,
found by going through every triangle. What is above it is told by counting crossings, not by
normals. A body is let go when an outlet is let in. Common practice, no source.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(nogil=True)
def _root(parent, x):
    while parent[x] != x:
        parent[x] = parent[parent[x]]
        x = parent[x]
    return x


@njit(nogil=True)
def _ceiling(points, faces, plan, v):
    """Return (crossings above, triangle of the nearest) straight up from v, its own left out.

    Whether a triangle lies over it is told by the signs of three areas; `plan` holds the least
    and most x and y of each.
    """
    x, y, z = points[v]
    count, nearest, face = 0, np.inf, -1
    for f in range(len(faces)):
        if plan[f, 0] > x or plan[f, 1] < x or plan[f, 2] > y or plan[f, 3] < y:
            continue
        a, b, c = faces[f]
        if v in (a, b, c):
            continue
        wc = (points[a, 0] - x) * (points[b, 1] - y) - (points[b, 0] - x) * (points[a, 1] - y)
        wa = (points[b, 0] - x) * (points[c, 1] - y) - (points[c, 0] - x) * (points[b, 1] - y)
        wb = (points[c, 0] - x) * (points[a, 1] - y) - (points[a, 0] - x) * (points[c, 1] - y)
        if not ((wa > 0 and wb > 0 and wc > 0) or (wa < 0 and wb < 0 and wc < 0)):
            continue
        at = (wa * points[a, 2] + wb * points[b, 2] + wc * points[c, 2]) / (wa + wb + wc)
        if at > z:
            count += 1
            if at < nearest:
                nearest, face = at, f
    return count, face


def spill_levels(points, faces, starts, neighbours, outlet):
    """Return (n,) the level at which each vertex's body of air is let go; -inf for never.

    `points` has up as its third axis; those beside v are neighbours[starts[v] : starts[v + 1]].
    """
    corners = points[faces]
    ends = (corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1))
    plan = np.stack(ends, axis=2).reshape(-1, 4)  # x from, x to, y from, y to
    order = np.argsort(-points[:, 2], kind="stable")
    return _flooded(points, faces, plan, starts, neighbours, order, outlet)


@njit(nogil=True)
def _flooded(points, faces, plan, starts, neighbours, order, outlet):
    n = len(points)
    parent = np.arange(n)
    following, last = np.full(n, -1), np.arange(n)
    free, inside = np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_)
    level = np.full(n, -np.inf)
    for v in order:
        inside[v] = True
        met = np.empty(starts[v + 1] - starts[v] + 1, dtype=np.int64)
        size = 0
        for k in range(starts[v], starts[v + 1]):
            if inside[neighbours[k]]:
                met[size] = neighbours[k]
                size += 1
        if size == 0:
            count, face = _ceiling(points, faces, plan, v)
            if count % 2 == 1:
                met[0] = faces[face, np.argmax(points[faces[face], 2])]
                size = 1
        free[v] = outlet[v]
        if outlet[v]:
            level[v] = points[v, 2]
        for k in range(size):
            a, b = _root(parent, v), _root(parent, met[k])
            if a == b:
                continue
            if free[a] != free[b]:
                x = b if free[a] else a
                while x >= 0:
                    level[x] = points[v, 2]
                    x = following[x]
            parent[b] = a
            free[a] = free[a] or free[b]
            if free[a]:
                # Whoever is free needs no list any more.
                following[last[a]] = -1
                continue
            following[last[a]] = b
            last[a] = last[b]
        if free[_root(parent, v)] and level[v] == -np.inf:
            level[v] = points[v, 2]
    return level
