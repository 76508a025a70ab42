"""How far from its foot a straight stroke still meets the piece, by another library's rays."""

from __future__ import annotations

import igl
import numpy as np

from partline.card.cutting_card import Strokes
from partline.geometry.surface import Floats, Surface


def last_met(surface: Surface, strokes: Strokes) -> Floats:
    """Return (k,) the distance along each stroke of the last face it passes, 0 for none [mm].

    Every face is asked (Moller and Trumbore 1997, "Fast, minimum storage ray/triangle
    intersection", in libigl), no tree and no code of ours.
    """
    points = np.array(surface.vertices, dtype=np.float64)
    faces = np.array(surface.faces, dtype=np.int64)
    ways = (strokes.ends - strokes.feet) / strokes.depths_mm[:, None]
    met = np.zeros(len(ways))
    for k, (foot, way) in enumerate(zip(strokes.feet, ways, strict=True)):
        far = np.array([hit[1] for hit in igl.ray_mesh_intersect(foot, way, points, faces) or ()])
        met[k] = far[far < strokes.depths_mm[k]].max(initial=0.0)
    return met
