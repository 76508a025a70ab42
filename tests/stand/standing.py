"""Masters in closed form for the tests of standing."""

from __future__ import annotations

import numpy as np
from manifold3d import Manifold

from partline.geometry.solids import to_surface
from partline.geometry.volume import area, volume
from partline.scan.master import Master


def master_of(solid: Manifold) -> Master:
    """Return a master of a solid, set on z = 0 with its middle over the origin."""
    x0, y0, z0, x1, y1, _ = solid.bounding_box()
    surface, _ = to_surface(solid.translate((-(x0 + x1) / 2, -(y0 + y1) / 2, -z0)))
    return Master(
        surface=surface,
        volume_mm3=volume(surface),
        area_mm2=area(surface),
        file_faces=np.arange(len(surface.faces), dtype=np.int32),
        to_pose=np.eye(4),
        repairs=(),
        warnings=(),
        path="made in a test",
        sha256="",
        size_words="",
    )


def box(x: float, y: float, z: float) -> Manifold:
    return Manifold.cube((x, y, z))


def round_column(radius: float, height: float, *, top: float | None = None) -> Manifold:
    return Manifold.cylinder(height, radius, radius if top is None else top, 256)
