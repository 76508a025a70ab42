"""From the mouth to the piece: the whole line of the knife, foot block first, evenly spaced."""

from __future__ import annotations

import numpy as np

from partline.cut.cut import CutLine
from partline.geometry.nearest import NearFaces, nearest_face, nearest_on_outline
from partline.geometry.surface import Floats, Surface
from partline.stand.stand import Stand

SPACING_MM = 1.5
_NORMAL_MM = 1.2


def whole_line(stand: Stand, line: CutLine, *, spacing_mm: float = SPACING_MM) -> Floats:
    """Return (k, 3) points from the mouth face along foot block and piece to the line's end."""
    points = np.vstack([_down_the_block(stand, line.points[0]), line.points])
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    points = points[np.append(True, steps > 1e-6)]
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = np.linspace(0.0, arc[-1], max(2, int(np.ceil(arc[-1] / spacing_mm)) + 1))
    return np.column_stack([np.interp(at, arc, column) for column in points.T])


def _down_the_block(stand: Stand, seat: Floats) -> Floats:
    """Return the points on the foot block from the mouth face up to where the line begins."""
    block = stand.foot_block
    if block is None:
        return np.zeros((0, 3))
    rim = min(
        (nearest_on_outline(np.asarray(o), seat[:2]) for o in block.bottom),
        key=lambda p: float(np.linalg.norm(p - seat[:2])),
    )
    share = np.linspace(1.0, 0.0, 24)[1:-1, None]
    flat = seat[:2] + share * (rim - seat[:2])
    above = np.column_stack([flat, np.full(len(flat), block.height_mm + 1.0)])
    far, face = block.surface.rays.first(above, np.array([0.0, 0.0, -1.0]))
    on = face >= 0
    z = np.clip(block.height_mm + 1.0 - np.where(on, far, 0.0), 0.0, block.height_mm)
    middle = np.column_stack([flat, z])[on]
    return np.vstack([[*rim, 0.0], middle])


def ways_out(surface: Surface, points: Floats) -> Floats:
    """Return (k, 3) the way out of the surface at points on it, averaged over a millimetre.

    Faces turned away from the nearest one do not count: they are the other side of a thin edge,
    or the far wall of a gap.
    """
    near = NearFaces(surface)
    normals, areas = surface.face_normals, surface.face_areas
    # The mouth face is no part of what is cut out.
    counts = (areas > 0.0) & (surface.vertices[surface.faces, 2].max(axis=1) > 1e-6)
    out = np.empty_like(points)
    for k, point in enumerate(points):
        faces, far = near.within(point, _NORMAL_MM)
        faces, far = faces[counts[faces]], far[counts[faces]]
        if not len(faces):
            out[k] = normals[nearest_face(surface, point)[0]]
            continue
        turned = normals[faces] @ normals[faces[far.argmin()]] > 0.0
        faces, far = faces[turned], far[turned]
        weights = np.minimum(areas[faces], _NORMAL_MM**2) * (1.0 - far / _NORMAL_MM)
        out[k] = weights @ normals[faces]
    # At the mouth face the knife moves in it, neither into nor out of the rubber's end.
    rim = points[:, 2] < 0.5
    out[rim, 2] = np.maximum(out[rim, 2], 0.0)
    return out / np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-12)
