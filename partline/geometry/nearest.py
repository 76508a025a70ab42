"""What lies nearest to a point: a face of a surface, a place on an outline."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from partline.geometry.rays import LEAF
from partline.geometry.surface import Floats, Ints, Surface, distinct


def face_distances(surface: Surface, point: ArrayLike) -> Floats:
    """Return (m,) distances from one point to every triangle [mm].

    The distance to a triangle is that to its plane where the foot of the perpendicular lies
    inside, else the least of the distances to its three edges.
    """
    corners = surface.vertices[surface.faces]
    return _distances(corners, surface.face_normals, np.asarray(point, dtype=np.float64))


def _distances(corners: Floats, normals: Floats, p: Floats) -> Floats:
    height = np.einsum("ij,ij->i", p - corners[:, 0], normals)
    inside = np.linalg.norm(normals, axis=1) > 0
    nearest = np.full(len(corners), np.inf)
    for k in range(3):
        a, b = corners[:, k], corners[:, (k + 1) % 3]
        edge = b - a
        squared = np.einsum("ij,ij->i", edge, edge)
        along = np.einsum("ij,ij->i", p - a, edge)
        share = np.clip(
            np.divide(along, squared, out=np.zeros_like(along), where=squared > 0), 0, 1
        )
        nearest = np.minimum(nearest, np.linalg.norm(a + share[:, None] * edge - p, axis=1))
        inside &= np.einsum("ij,ij->i", np.cross(edge, p - a), normals) >= 0
    return np.where(inside, np.abs(height), nearest)


class NearFaces:
    """Finds the triangles round a point without measuring to all of them."""

    def __init__(self, surface: Surface) -> None:
        self._surface, self._normals = surface, surface.face_normals

    def within(self, point: ArrayLike, reach_mm: float) -> tuple[Ints, Floats]:
        """Return (k,) faces no farther than so much from a point, and (k,) distances [mm]."""
        p = np.asarray(point, dtype=np.float64)
        faces = np.sort(_boxed(self._surface.rays.tree, p[0], p[1], p[2], reach_mm))
        corners = self._surface.vertices[self._surface.faces[faces]]
        distance = _distances(corners, self._normals[faces], p)
        near = distance <= reach_mm
        return faces[near], distance[near]


def corners_within(surface: Surface, point: ArrayLike, reach_mm: float) -> tuple[Ints, Floats]:
    """Return (k,) corners of faces no farther than so much from a point, and how far [mm]."""
    p = np.asarray(point, dtype=np.float64)
    found = distinct(surface.faces[_boxed(surface.rays.tree, p[0], p[1], p[2], reach_mm)])
    distance = np.linalg.norm(surface.vertices[found] - p, axis=1)
    near = distance <= reach_mm
    return found[near], distance[near]


def nearest_face(surface: Surface, point: ArrayLike) -> tuple[int, float]:
    """Return (face, distance [mm]) of the triangle nearest to a point; the first of equals."""
    distance = face_distances(surface, point)
    face = int(np.argmin(distance))
    return face, float(distance[face])


def nearest_on_outline(outline: Floats, point: Floats) -> Floats:
    """Return the (2,) place on a closed (k, 2) outline nearest to a point of the plane [mm]."""
    a, b = outline, np.roll(outline, -1, axis=0)
    along = b - a
    length2 = np.maximum(np.einsum("ij,ij->i", along, along), 1e-18)
    share = np.clip(np.einsum("ij,ij->i", point - a, along) / length2, 0.0, 1.0)
    found = a + share[:, None] * along
    return np.asarray(found[np.argmin(np.linalg.norm(found - point, axis=1))])


@njit(nogil=True, cache=True)
def _off_box(tree, node, x, y, z):  # type: ignore[no-untyped-def]
    """Return the squared distance from a point to a node's box; infinite for an empty one."""
    low, high = tree.low, tree.high
    dx = max(low[node, 0] - x, 0.0, x - high[node, 0])
    dy = max(low[node, 1] - y, 0.0, y - high[node, 1])
    dz = max(low[node, 2] - z, 0.0, z - high[node, 2])
    return dx * dx + dy * dy + dz * dz


@njit(nogil=True, cache=True)
def _boxed(tree, x, y, z, reach):  # type: ignore[no-untyped-def]
    """Return the faces of the leaves whose boxes come within reach of a point."""
    leaves = tree.low.shape[0] // 2
    found = np.empty(64, dtype=np.int32)
    count = 0
    stack = np.empty(64, dtype=np.int64)
    stack[0] = 1
    depth = 1
    while depth > 0:
        depth -= 1
        node = stack[depth]
        # A trifle wider, so that rounding loses nothing that lies just within reach.
        if _off_box(tree, node, x, y, z) > reach * reach * (1.0 + 1e-9):
            continue
        if node < leaves:
            stack[depth], stack[depth + 1] = 2 * node, 2 * node + 1
            depth += 2
            continue
        first = (node - leaves) * LEAF
        for row in range(first, min(first + LEAF, tree.order.shape[0])):
            if count == len(found):
                wider = np.empty(2 * count, dtype=np.int32)
                wider[:count] = found
                found = wider
            found[count] = tree.order[row]
            count += 1
    return found[:count]


@njit(nogil=True, cache=True)
def nearest_corner(tree, x, y, z, within):  # type: ignore[no-untyped-def]
    """Return (vertex, distance) of the corner nearest to a point, of those nearer than `within`.

    `tree` is a `rays.Tree`; the vertex is -1 where none is so near.
    """
    corners, faces = tree.corners, tree.faces
    leaves = tree.low.shape[0] // 2
    stack = np.empty(64, dtype=np.int64)
    stack[0] = 1
    depth = 1
    best = within * within
    vertex = -1
    while depth > 0:
        depth -= 1
        node = stack[depth]
        if _off_box(tree, node, x, y, z) >= best:
            continue
        if node < leaves:
            left, right = 2 * node, 2 * node + 1
            nearer = _off_box(tree, left, x, y, z) <= _off_box(tree, right, x, y, z)
            stack[depth] = right if nearer else left
            stack[depth + 1] = left if nearer else right
            depth += 2
            continue
        first = (node - leaves) * LEAF
        for row in range(first, min(first + LEAF, faces.shape[0])):
            for k in range(3):
                dx, dy, dz = corners[row, k, 0] - x, corners[row, k, 1] - y, corners[row, k, 2] - z
                squared = dx * dx + dy * dy + dz * dz
                if squared < best:
                    best = squared
                    vertex = faces[row, k]
    return vertex, np.sqrt(best)
