"""Volume, area and closedness of a surface."""

from __future__ import annotations

import numpy as np

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
    n = len(surface.vertices)
    start = surface.faces.astype(np.int64).ravel()
    stop = np.roll(surface.faces, -1, axis=1).astype(np.int64).ravel()
    there = np.sort(start * n + stop)
    back = np.sort(stop * n + start)
    return bool(len(there) and (np.diff(there) > 0).all() and (there == back).all())
