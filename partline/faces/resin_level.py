"""How high the resin stands in the mould when a share of it is filled, tipped or not."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from partline.faces.slicing import Plane, laid_open
from partline.faces.tipping import SHOWN, up_of
from partline.faces.view import View
from partline.geometry.surface import Floats, Surface
from partline.plan import Plan

# Heights whose volumes are worked out; between them the level is read off a monotone curve.
_STEPS = 20


def volume_above(surface: Surface, up: Floats, level_mm: float) -> float:
    """Return the volume of a closed solid above a level [mm^3]; exact for the mesh.

    Parameters
    ----------
    surface : Surface
    up : (3,) float64
        Unit length.
    level_mm : float
        Along `up` from the origin [mm].
    """
    return _above(_sorted(surface, up), _facing(surface, up), level_mm)


def _sorted(surface: Surface, up: Floats) -> Floats:
    """Return the (3, m) heights of the corners of each face, lowest first [mm]."""
    a, b, c = (surface.vertices @ up)[surface.faces].T
    low, high = np.minimum(a, b), np.maximum(a, b)
    return np.stack([np.minimum(low, c), np.maximum(low, np.minimum(high, c)),
                     np.maximum(high, c)])  # fmt: skip


def _facing(surface: Surface, up: Floats) -> Floats:
    """Return the (m,) area of each face as seen from above, less than 0 from below [mm^2]."""
    return np.asarray((surface.face_normals @ up) * surface.face_areas)


def _above(heights: Floats, facing: Floats, level_mm: float) -> float:
    """Return the flux of the height over a level through the faces above it [mm^3].

    That is the volume above it: the lid, at height 0, adds nothing.
    """
    near = heights[2] > level_mm
    a, b, c = heights[:, near] - level_mm
    height = (a + b + c) / 3
    two, one = (a < 0) & (b >= 0), b < 0
    # The mean of max(height, 0) over a triangle whose lowest, or two lowest corners are below.
    height[two] -= a[two] ** 3 / (3 * (b[two] - a[two]) * (c[two] - a[two]))
    height[one] = c[one] ** 3 / (3 * (c[one] - a[one]) * (c[one] - b[one]))
    return float((height * facing[near]).sum())


@lru_cache(maxsize=12)
def _level(plan: Plan, up: tuple[float, float, float]) -> Any:
    """Return the level against the share of the cavity below it (Fritsch and Carlson 1980)."""
    from scipy.interpolate import PchipInterpolator

    surface, way = plan.stand.cavity.surface, np.array(up)
    heights, facing = _sorted(surface, way), _facing(surface, way)
    levels = np.linspace(heights[0].min(), heights[2].max(), _STEPS)
    above = np.array([_above(heights, facing, float(level)) for level in levels])
    below = np.maximum.accumulate(1.0 - above / above[0])
    # Where a height adds nothing the lower one stands for both.
    rising = np.concatenate([[True], np.diff(below) > 1e-9])
    return PchipInterpolator(below[rising], levels[rising])


def level_at(plan: Plan, view: View, share: float) -> float:
    """Return how high along the view's up the resin stands with a share of the cavity full [mm]."""
    x, y, z = (float(v) for v in up_of(view))
    return float(_level(plan, (x, y, z))(np.clip(share, 0.0, 1.0)))


def resin_lid(plan: Plan, view: View, share: float) -> Surface:
    """Return the flat top of the resin in the stand's pose [mm]."""
    up = up_of(view)
    return laid_open(plan.stand.cavity.surface, up, level_at(plan, view, share))


def level_plane(plan: Plan, view: View, share: float) -> Plane:
    """Return the top of the resin as it is shown, the tip not yet turned: full lies below it."""
    up, level = up_of(view), level_at(plan, view, share)
    origin = level * up
    if view.pour == "resin":
        origin = np.array([0, 0, plan.container.fill_height_mm]) + origin * SHOWN["resin"]
    return Plane(origin, up * SHOWN[view.pour])
