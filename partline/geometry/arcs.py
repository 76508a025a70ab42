"""The arcs of a surface's graph: its edges, shortcuts across them, and which leave each vertex."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.geometry.surface import Floats, Ints, Surface


class Arcs(NamedTuple):
    """Arcs between vertices, each pair of them in one direction, and the rows of all vertices.

    Attributes
    ----------
    ends : (a, 4) int32
        The vertices that an arc joins, and the ends of the edge that it crosses: its own where it
        runs along an edge.
    form : (a, 3) float64
        Its length [mm], where on that edge it crosses, from the first (0) to the second end [1],
        and its length up to there [mm].
    starts : (n + 1,) int32
        Where the row of each vertex begins.
    columns, number : (2 a,) int32
        The vertex at the other end, and the arc.
    """

    ends: Ints
    form: Floats
    starts: Ints
    columns: Ints
    number: Ints


def arcs_of(surface: Surface, *, shortcuts: bool = True) -> Arcs:
    """Return the edges of a surface and, if asked for, the shortcuts across them."""
    edges = surface.edges
    size = len(edges)
    # At most one shortcut an edge.
    ends = np.empty((2 * size if shortcuts else size, 4), dtype=np.int32)
    form = np.empty((len(ends), 3))
    _along(surface.vertices, edges, ends, form)
    if shortcuts:
        tips = _tips(surface.faces, surface.face_edges, size)
        size = int(_across(surface.vertices, edges, tips, ends, form))
    ends, form = np.ascontiguousarray(ends[:size]), np.ascontiguousarray(form[:size])
    return Arcs(ends, form, *_rows(ends, len(surface.vertices)))


@njit(nogil=True, cache=True)
def price_of(ends, form, arc, density):  # type: ignore[no-untyped-def]
    """Return the cost of an arc; infinite where it may not be taken.

    Its length times the density, by the trapezium rule over both parts of it; infinite where an
    end of it, or of the edge that it crosses, is blocked (infinite).
    """
    one, two = density[ends[arc, 0]], density[ends[arc, 1]]
    low, high = density[ends[arc, 2]], density[ends[arc, 3]]
    if one + two + low + high == np.inf:
        return np.inf
    length, share, first = form[arc, 0], form[arc, 1], form[arc, 2]
    middle = (1 - share) * low + share * high
    return first * (one + middle) / 2 + (length - first) * (middle + two) / 2


@njit(nogil=True, cache=True)
def arcs_along(chain, density, ends, form, starts, columns, number):  # type: ignore[no-untyped-def]
    """Return the cheapest arc between each two neighbours of a chain of vertices; -1 for none."""
    found = np.full(max(len(chain) - 1, 0), -1, dtype=np.int32)
    for k in range(len(found)):
        best = np.inf
        for at in range(starts[chain[k]], starts[chain[k] + 1]):
            if columns[at] == chain[k + 1]:
                cost = price_of(ends, form, number[at], density)
                if cost < best:
                    found[k], best = number[at], cost
    return found


@njit(nogil=True, cache=True)
def _along(points, edges, ends, form):  # type: ignore[no-untyped-def]
    for e in range(len(edges)):
        squared = 0.0
        for axis in range(3):
            squared += (points[edges[e, 1], axis] - points[edges[e, 0], axis]) ** 2
        for k in range(2):
            ends[e, k] = ends[e, 2 + k] = edges[e, k]
        form[e, 0], form[e, 1] = np.sqrt(squared), 0.5
        form[e, 2] = form[e, 0] / 2


@njit(nogil=True, cache=True)
def _tips(faces, face_edges, count):  # type: ignore[no-untyped-def]
    """Return (e, 2) the corners opposite to each edge; -1 where not just two faces share it."""
    tips = np.full((count, 2), -1, dtype=np.int32)
    crowded = np.zeros(count, dtype=np.bool_)
    for k in range(3):
        for f in range(len(faces)):
            e, tip = face_edges[f, k], faces[f, (k + 2) % 3]
            if tips[e, 0] < 0:
                tips[e, 0] = tip
            elif tips[e, 1] < 0:
                tips[e, 1] = tip
            else:
                crowded[e] = True
    for e in range(count):
        if crowded[e] or tips[e, 1] < 0:
            tips[e] = -1
    return tips


@njit(nogil=True, cache=True)
def _across(points, edges, tips, ends, form):  # type: ignore[no-untyped-def]
    """Put the shortcuts behind the edges; return how many arcs there are.

    A shortcut is the straight line between the two corners opposite to an edge, once both
    triangles are laid flat; it is left out where that line misses the edge.
    """
    count = len(edges)
    unit = np.empty(3)
    x, y = np.empty(2), np.empty(2)
    for e in range(len(edges)):
        a, b = edges[e, 0], edges[e, 1]
        if tips[e, 0] < 0 or tips[e, 0] == tips[e, 1]:
            continue
        size = form[e, 0]
        if not size > 0:
            continue
        for axis in range(3):
            unit[axis] = (points[b, axis] - points[a, axis]) / size
        for side in range(2):
            tip = tips[e, side]
            x[side] = 0.0
            for axis in range(3):
                x[side] += (points[tip, axis] - points[a, axis]) * unit[axis]
            y[side] = 0.0
            for axis in range(3):
                y[side] += (points[tip, axis] - points[a, axis] - x[side] * unit[axis]) ** 2
            y[side] = np.sqrt(y[side])
        height = y[0] + y[1]
        if not height > 0:
            continue
        part = y[0] / height
        crossing = x[0] + part * (x[1] - x[0])
        if not 0 < crossing < size:
            continue
        length = np.hypot(x[1] - x[0], height)
        ends[count, 0], ends[count, 1] = tips[e, 0], tips[e, 1]
        ends[count, 2], ends[count, 3] = a, b
        form[count, 0], form[count, 1], form[count, 2] = length, crossing / size, part * length
        count += 1
    return count


@njit(nogil=True, cache=True)
def _rows(ends, n):  # type: ignore[no-untyped-def]
    """Return which arcs leave each vertex: `starts`, `columns` and `number` of `Arcs`."""
    starts = np.zeros(n + 1, dtype=np.int32)
    for arc in range(len(ends)):
        starts[ends[arc, 0] + 1] += 1
        starts[ends[arc, 1] + 1] += 1
    for v in range(n):
        starts[v + 1] += starts[v]
    place = starts[:-1].copy()
    columns = np.empty(2 * len(ends), dtype=np.int32)
    number = np.empty(2 * len(ends), dtype=np.int32)
    for arc in range(len(ends)):
        for k in range(2):
            v = ends[arc, k]
            columns[place[v]], number[place[v]] = ends[arc, 1 - k], arc
            place[v] += 1
    return starts, columns, number
