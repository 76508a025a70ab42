"""What lies nearest to a point: a face of a surface, a place on an outline."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats, Surface


def face_distances(surface: Surface, point: ArrayLike) -> Floats:
    """Return (m,) distances from one point to every triangle [mm].

    The distance to a triangle is that to its plane where the foot of the perpendicular lies
    inside, else the least of the distances to its three edges.
    """
    p = np.asarray(point, dtype=np.float64)
    corners = surface.vertices[surface.faces]
    normals = surface.face_normals
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
