"""The largest ball inside a cavity that hangs at a place of its skin: how wide it is there."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.nearest import nearest_corner
from partline.geometry.rays import first_hit

# A point of the surface seen from the ball's middle under less than this angle beside the start
# is roughness of the start's own skin, not the far side of a neck [radians].
SAME_SKIN = np.radians(60.0)
# A ball is as large as asked when it is so to this share.
SLACK = 1e-6
ROUNDS = 30


@njit(nogil=True, cache=True)
def ball(fans, v, dx, dy, dz, most, enough):  # type: ignore[no-untyped-def]
    """Return the diameter of the largest ball that touches vertex `v` with its middle along d.

    Shrinking ball of Ma, Bae and Choi (2012), "3D medial axis point approximation using nearest
    neighbors and the normal field", against the surface's vertices; near contacts within 60
    degrees are taken as noise of the skin. None larger than `most` is looked for, and none
    smaller than `enough` is shrunk further.
    """
    px, py, pz = fans.vertices[v, 0], fans.vertices[v, 1], fans.vertices[v, 2]
    ahead, _ = first_hit(fans.tree, px, py, pz, dx, dy, dz, 0.0, most, v)
    radius = 0.5 * ahead
    for _ in range(ROUNDS):
        if 2.0 * radius < enough:
            break
        near, _ = nearest_corner(
            fans.tree,
            px + radius * dx,
            py + radius * dy,
            pz + radius * dz,
            radius * (1.0 - SLACK),
        )
        if near < 0:
            break
        qx = fans.vertices[near, 0] - px
        qy = fans.vertices[near, 1] - py
        qz = fans.vertices[near, 2] - pz
        squared = qx * qx + qy * qy + qz * qz
        along = qx * dx + qy * dy + qz * dz
        chord = np.sqrt(squared) / (2.0 * radius)
        # Angle at the middle between the start and the near point.
        if along <= 0.0 or 2.0 * np.arcsin(min(chord, 1.0)) <= SAME_SKIN:
            break
        radius = squared / (2.0 * along)
    return 2.0 * radius
