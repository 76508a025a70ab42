"""Width of the joins between bodies of air: an estimate, from the largest ball that touches."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from partline.air.fans import Fans
from partline.geometry.rays import first_hit
from partline.geometry.surface import Floats, Ints

# A point of the surface seen from the ball's middle under less than this angle beside the start
# is roughness of the start's own skin, not the far side of a neck [radians].
SAME_SKIN = np.radians(60.0)


def widths(fans: Fans, points: cKDTree, vertices: Ints, *, rounds: int = 30) -> Floats:
    """Return the diameter of the largest ball inside the cavity that touches at each vertex.

    Shrinking ball of Ma, Bae and Choi (2012), "3D medial axis point approximation using nearest
    neighbors and the normal field", against the surface's vertices; near contacts within 60
    degrees are taken as noise of the skin.

    Parameters
    ----------
    fans : Fans
    points : cKDTree
        Over `fans.vertices`.
    vertices : (k,) int32
        Where the balls touch.

    Returns
    -------
    (k,) float64
        Diameters [mm], an estimate: no finer than the mesh.
    """
    start = fans.vertices[vertices]
    inward = -fans.normals[vertices]
    radius = np.empty(len(vertices))
    for i, (p, d) in enumerate(zip(start, inward, strict=True)):
        distance, _ = first_hit(fans.tree, *p, *d, 0.0, vertices[i])
        radius[i] = 0.5 * min(distance, fans.size)
    active = np.ones(len(vertices), dtype=bool)
    for _ in range(rounds):
        where = np.flatnonzero(active)
        if len(where) == 0:
            break
        middle = start[where] + radius[where, None] * inward[where]
        near, index = points.query(middle)
        to_near = fans.vertices[index] - start[where]
        squared = np.einsum("ij,ij->i", to_near, to_near)
        along = np.einsum("ij,ij->i", to_near, inward[where])
        smaller = squared / np.maximum(2.0 * along, 1e-300)
        # Angle at the middle between the start and the near point.
        chord = np.sqrt(squared) / np.maximum(2.0 * radius[where], 1e-300)
        angle = 2.0 * np.arcsin(np.clip(chord, 0.0, 1.0))
        shrink = (near < radius[where] * (1 - 1e-6)) & (along > 0) & (angle > SAME_SKIN)
        radius[where[shrink]] = smaller[shrink]
        active[where[~shrink]] = False
    return 2.0 * radius
