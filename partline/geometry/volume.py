"""Volume, area and closedness of a surface."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.surface import Surface


def volume(surface: Surface) -> float:
    """Return the volume [mm^3] enclosed by a closed outward surface.

    Signed tetrahedra about the middle of the bounding box (Zhang and Chen 2001); exact for a
    polyhedron up to rounding, negative when it is inside out.
    """
    middle = surface.bounds.mean(axis=0)
    a, b, c = (surface.vertices[surface.faces[:, k]] - middle for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def area(surface: Surface) -> float:
    """Return the area [mm^2]."""
    return float(surface.face_areas.sum())


def is_closed(surface: Surface) -> bool:
    """Tell whether every directed edge meets exactly one opposite: closed, manifold, oriented."""
    return len(surface.faces) > 0 and bool(_every_edge_meets_one(surface.faces, *surface.fans))


@njit(nogil=True, cache=True)
def _every_edge_meets_one(faces, starts, around):  # type: ignore[no-untyped-def]
    """Tell whether at every vertex those that edges lead to, each once, are those they come from.

    `starts` and `around` list the faces round each vertex, rising; one that names it twice, twice.
    """
    for v in range(starts.shape[0] - 1):
        for i in range(starts[v], starts[v + 1]):
            again = i > starts[v] and around[i] == around[i - 1]
            for k in range(3):
                if again or faces[around[i], k] != v:
                    continue
                to = faces[around[i], (k + 1) % 3]
                onward, back = 0, 0
                for j in range(starts[v], starts[v + 1]):
                    if j > starts[v] and around[j] == around[j - 1]:
                        continue
                    for c in range(3):
                        if faces[around[j], c] == v:
                            onward += faces[around[j], (c + 1) % 3] == to
                            back += faces[around[j], (c + 2) % 3] == to
                if onward != 1 or back != 1:
                    return False
    return True
