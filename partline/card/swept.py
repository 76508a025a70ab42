"""Ruled surfaces as meshes, and whether they cross themselves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numba import njit

from partline.geometry.surface import Floats, Ints, Surface


def strip(rows: Sequence[Floats], splits: Ints) -> Surface:
    """Return the mesh between successive (k, 3) rows; nothing spans a split after a column."""
    k = len(rows[0])
    whole = np.setdiff1d(np.arange(k - 1), splits)
    faces = []
    for row in range(len(rows) - 1):
        a = row * k + whole
        b = a + k
        faces += [np.column_stack([a, b, b + 1]), np.column_stack([a, b + 1, a + 1])]
    return Surface(np.vstack(rows), np.vstack(faces))


def crossings(surface: Surface) -> Ints:
    """Return the (j, 2) pairs (edge's first vertex, face) where an edge passes through a face.

    Edges and faces that share a vertex do not count. Two faces cross exactly where an edge of
    one passes through the other (Moller 1997, "A fast triangle-triangle intersection test").
    """
    corners = surface.vertices[surface.faces]
    # In order of their lower ends along the longest side, so that each face asks few of them.
    axis = int(np.argmax(surface.extents))
    along = surface.vertices[surface.edges, axis]
    order = np.argsort(along.min(axis=1), kind="stable")
    begins = along.min(axis=1)[order]
    longest = float(np.ptp(along, axis=1).max(initial=0.0))
    reach = corners[:, :, axis]
    first = np.searchsorted(begins, reach.min(axis=1) - longest, side="left")
    last = np.searchsorted(begins, reach.max(axis=1), side="right")
    edges = np.ascontiguousarray(surface.edges[order])
    return np.asarray(_pairs(surface.vertices, edges, surface.faces, corners, first, last))


@njit(nogil=True, cache=True)
def _pairs(vertices, edges, faces, corners, first, last):  # type: ignore[no-untyped-def]
    found = [(0, 0) for _ in range(0)]
    ends = vertices[edges.ravel()].reshape(-1, 2, 3)
    for face in range(len(faces)):
        low, high = np.empty(3), np.empty(3)
        for axis in range(3):
            low[axis] = corners[face, :, axis].min()
            high[axis] = corners[face, :, axis].max()
        for edge in range(first[face], last[face]):
            a, b = ends[edge, 0], ends[edge, 1]
            apart = False
            for axis in range(3):
                if min(a[axis], b[axis]) > high[axis] or max(a[axis], b[axis]) < low[axis]:
                    apart = True
                    break
            if apart:
                continue
            shares = False
            for k in range(3):
                shares |= edges[edge, 0] == faces[face, k] or edges[edge, 1] == faces[face, k]
            if not shares and _through(a, b - a, corners[face]):
                found.append((edges[edge, 0], face))
    out = np.empty((len(found), 2), dtype=np.int32)
    for k in range(len(found)):
        out[k, 0], out[k, 1] = found[k]
    return out


@njit(nogil=True, cache=True)
def _through(start, way, triangle):  # type: ignore[no-untyped-def]
    """Tell whether a segment passes through a triangle's inside."""
    u, v = triangle[1] - triangle[0], triangle[2] - triangle[0]
    p = np.cross(way, v)
    det = np.sum(p * u)
    long = np.sqrt(np.sum(u * u) * np.sum(v * v) * np.sum(way * way))
    # At most, not below: a face or an edge without length is never crossed.
    if abs(det) <= 1e-12 * long:
        return False
    s = start - triangle[0]
    x = np.sum(s * p) / det
    q = np.cross(s, u)
    y = np.sum(way * q) / det
    t = np.sum(v * q) / det
    e = 1e-9
    return x > e and y > e and x + y < 1 - e and t > e and t < 1 - e
