"""Normals of a surface at some of its vertices, nothing kept of the rest."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.surface import Floats, Ints, Surface


def normals_at(surface: Surface, vertices: NDArray[np.integer]) -> Floats:
    """Return the (k, 3) unit normals at (k,) vertices, as `Surface.vertex_normals` has them."""
    slot = np.full(len(surface.vertices), -1, dtype=np.int32)
    slot[vertices] = np.arange(len(vertices), dtype=np.int32)
    found = np.zeros((len(vertices), 3))
    _add_faces(surface.vertices, surface.faces, slot, found)
    length = np.linalg.norm(found, axis=1, keepdims=True)
    found = np.divide(found, length, out=found, where=length > 0)
    return found[slot[vertices]]


@njit(cache=True, nogil=True)
def _add_faces(points: Floats, faces: Ints, slot: Ints, out: Floats) -> None:
    """Add each face's normal, weighted by its angle there, to those of its corners asked for."""
    for f in range(len(faces)):
        for k in range(3):
            at = slot[faces[f, k]]
            if at < 0:
                continue
            here = points[faces[f, k]]
            first = points[faces[f, (k + 1) % 3]] - here
            second = points[faces[f, (k + 2) % 3]] - here
            x = first[1] * second[2] - first[2] * second[1]
            y = first[2] * second[0] - first[0] * second[2]
            z = first[0] * second[1] - first[1] * second[0]
            length = np.sqrt(x * x + y * y + z * z)
            if length > 0.0:
                angle = np.arctan2(length, (first * second).sum()) / length
                out[at, 0] += angle * x
                out[at, 1] += angle * y
                out[at, 2] += angle * z
