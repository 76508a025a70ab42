"""Where a plane cuts a closed surface: closed outlines, in one pass over its faces.

A vertex in the plane counts as beyond it, so that every outline closes even where the surface
lies in the plane.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.chaining import chained
from partline.geometry.surface import Floats, Ints, Surface


@njit(cache=True, nogil=True)
def _crossed(
    vertices: Floats, faces: Ints, normal: Floats, level: float
) -> tuple[Floats, NDArray[np.int64]]:
    """Return how far each vertex lies beyond the plane, and the (k, 2, 2) sides that cross it.

    Of each face that crosses: the side that comes back through the plane, then the one that goes
    out through it, each as its vertices beyond and before.
    """
    off = np.empty(len(vertices))
    for k in range(len(vertices)):
        off[k] = (
            vertices[k, 0] * normal[0] + vertices[k, 1] * normal[1] + vertices[k, 2] * normal[2]
        ) - level
    many = 0
    for f in range(len(faces)):
        a, b, c = off[faces[f, 0]] >= 0, off[faces[f, 1]] >= 0, off[faces[f, 2]] >= 0
        many += a != b or b != c
    sides = np.empty((many, 2, 2), dtype=np.int64)
    here = 0
    for f in range(len(faces)):
        a, b, c = off[faces[f, 0]] >= 0, off[faces[f, 1]] >= 0, off[faces[f, 2]] >= 0
        if a == b and b == c:
            continue
        for j in range(3):
            one, other = faces[f, j], faces[f, (j + 1) % 3]
            if off[one] >= 0 and off[other] < 0:
                sides[here, 0, 0], sides[here, 0, 1] = one, other
            elif off[one] < 0 and off[other] >= 0:
                sides[here, 1, 0], sides[here, 1, 1] = other, one
        here += 1
    return off, sides


def plane_section(surface: Surface, axes: Floats, level_mm: float) -> list[Floats]:
    """Return the closed outlines in which a plane cuts a closed surface.

    Parameters
    ----------
    surface : Surface
        Every edge of it has as many faces on one side as on the other.
    axes : (3, 3) float64
        Right, up and toward the eye of the picture of the section, unit vectors; the plane is
        square to the last.
    level_mm : float
        Where the plane lies along it from the origin [mm].

    Returns
    -------
    list of (k, 2) float64
        Along right and up, the solid on the left: outer outlines run counter-clockwise [mm].
    """
    off, sides = _crossed(surface.vertices, surface.faces, axes[2], level_mm)
    if not len(sides):
        return []
    # Seen from beyond, with the solid on the left, an outline comes in where a face goes back.
    keys = sides[:, :, 0] * len(off) + sides[:, :, 1]
    order, begins = chained(*keys.T)
    beyond, before = sides[order, 0].T
    share = (off[beyond] / (off[beyond] - off[before]))[:, None]
    one, other = surface.vertices[beyond] @ axes[:2].T, surface.vertices[before] @ axes[:2].T
    return np.split(one + share * (other - one), begins[1:])
