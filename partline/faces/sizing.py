"""Sizes and sides that come from what was clicked or from a job file."""

from __future__ import annotations

import numpy as np

from partline.errors import JobError
from partline.faces.poses import Pick, Side, direction, side_name
from partline.faces.workbench import Workbench
from partline.geometry.surface import Ints, Surface

# The smallest and largest finished heights a height box accepts without being told twice [mm].
SMALL_MM, LARGE_MM = 5.0, 1000.0


def front_toward(bench: Workbench, pick: Pick) -> Side:
    """Return the side of the file that a pointed-at place faces, square to up.

    One face of a scan leans anyhow, so the skin round it is asked; within 6 degrees of a side of
    the file, that side is meant. A place that looks straight up or down says nothing about
    sides; then its place off the middle decides.
    """
    up = direction(bench.up)
    normal = pick.normal
    middle = np.zeros(3)
    if bench.master is not None:
        surface = bench.master.surface
        middle = surface.bounds.mean(axis=0)
        round_ = faces_near(surface, pick.face, within_mm=0.04 * float(surface.extents.max()))
        corners = surface.vertices[surface.faces[round_]]
        weighed = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).sum(axis=0)
        normal = weighed / max(float(np.linalg.norm(weighed)), 1e-300)
    level = normal - (normal @ up) * up
    if np.linalg.norm(level) < 0.2:
        aside = pick.point - middle
        level = aside - (aside @ up) * up
    return side_name(level, square_to=bench.up, near_deg=6.0)


def tall_as(bench: Workbench, up: str) -> float:
    """Return how tall the scan is with a file axis up, in the file's own units."""
    if bench.master is None:
        raise JobError("There is no scan yet. Open one first.")
    return float(np.ptp(bench.master.surface.vertices @ direction(up)))


def scale_measured(bench: Workbench, distance_mm: float) -> float:
    """Return the scale that puts the two measured points so far apart [mm per file unit].

    Raises
    ------
    JobError
        If there are not two points, or they are in one place.
    """
    if bench.measured is None or len(bench.measured) != 2:
        raise JobError("Click on two points of the piece first.")
    one, two = bench.measured
    apart = float(np.linalg.norm(two.point - one.point))
    if apart < 1e-3 * tall_as(bench, bench.up):
        raise JobError(
            "The two points are in the same place. Click on two points that are far apart: the "
            "further, the better the size."
        )
    return distance_mm / apart


def faces_near(surface: Surface, face: int, *, within_mm: float) -> Ints:
    """Return the faces whose middle lies within a distance of a face's: the patch shown as picked.

    Parameters
    ----------
    within_mm : float
        Radius of the patch [mm].
    """
    middles = surface.vertices[surface.faces].mean(axis=1)
    near = np.linalg.norm(middles - middles[face], axis=1) <= within_mm
    near[face] = True
    facing = surface.face_normals @ surface.face_normals[face] > 0.3
    facing[face] = True
    return np.flatnonzero(near & facing).astype(np.int32)
