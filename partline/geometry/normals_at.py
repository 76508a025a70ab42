"""Normals of a surface at some of its vertices, nothing kept of the rest."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.normals import unit_vectors, weighted
from partline.geometry.surface import Floats, Ints, Surface


def normals_at(surface: Surface, vertices: NDArray[np.integer]) -> Floats:
    """Return the (k, 3) unit normals at (k,) vertices, as `Surface.vertex_normals` has them."""
    slot = np.full(len(surface.vertices), -1, dtype=np.int32)
    slot[vertices] = np.arange(len(vertices), dtype=np.int32)
    found = np.zeros((len(vertices), 3))
    _add_faces(surface.vertices, surface.faces, slot, found)
    return unit_vectors(found)[slot[vertices]]


@njit(cache=True, nogil=True)
def _add_faces(points: Floats, faces: Ints, slot: Ints, out: Floats) -> None:
    """Add each face's normal, weighted by its angle there, to those of its corners asked for."""
    for f in range(len(faces)):
        for k in range(3):
            at = slot[faces[f, k]]
            if at < 0:
                continue
            x, y, z = weighted(points, faces[f, k], faces[f, (k + 1) % 3], faces[f, (k + 2) % 3])
            out[at, 0] += x
            out[at, 1] += y
            out[at, 2] += z
