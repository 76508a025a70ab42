"""Ruled surfaces as meshes, and whether they cross themselves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

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
    edges = surface.edges
    low, high = corners.min(axis=1), corners.max(axis=1)
    a, b = surface.vertices[edges[:, 0]], surface.vertices[edges[:, 1]]
    found = []
    for face in range(len(corners)):
        near = np.flatnonzero(
            ((np.minimum(a, b) <= high[face]) & (np.maximum(a, b) >= low[face])).all(axis=1)
            & ~np.isin(edges, surface.faces[face]).any(axis=1)
        )
        if len(near):
            hit = near[_through(a[near], b[near] - a[near], corners[face])]
            found += [(int(edges[e, 0]), face) for e in hit]
    return np.array(found, dtype=np.int32).reshape(-1, 2)


def _through(starts: Floats, ways: Floats, triangle: Floats) -> np.ndarray:
    """Return (k,) bool: whether each segment passes through a triangle's inside."""
    u, v = triangle[1] - triangle[0], triangle[2] - triangle[0]
    p = np.cross(ways, v)
    det = p @ u
    flat = np.abs(det) < 1e-12 * np.linalg.norm(u) * np.linalg.norm(v) * (
        np.linalg.norm(ways, axis=1) + 1e-300
    )
    inverse = 1.0 / np.where(flat, 1.0, det)
    s = starts - triangle[0]
    x = np.einsum("ij,ij->i", s, p) * inverse
    q = np.cross(s, u)
    y = np.einsum("ij,ij->i", ways, q) * inverse
    t = (q @ v) * inverse
    e = 1e-9
    return np.asarray(~flat & (x > e) & (y > e) & (x + y < 1 - e) & (t > e) & (t < 1 - e))
