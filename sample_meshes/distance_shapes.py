"""Signed distances of simple solids, and how they are joined: negative inside, in mm.

Every function takes points (n, 3) [mm] and gives (n,) [mm]. The values are true distances for
spheres and boxes and close to it near the surface for the others, which is all that meshing and
projecting need.

References
----------
Hart, J. C. (1996), "Sphere tracing: a geometric method for the antialiased ray tracing of
implicit surfaces", The Visual Computer 12 (signed distances and their unions).
Ricci, A. (1973), "A constructive geometry for computer graphics", The Computer Journal 16
(blended unions).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline
from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Shape = Callable[[Floats], Floats]


def union(first: Floats, second: Floats, round_mm: float) -> Floats:
    """Join two solids with a fillet that reaches `round_mm` from the crease."""
    if round_mm <= 0:
        return np.minimum(first, second)
    overlap = np.maximum(round_mm - np.abs(first - second), 0.0) / round_mm
    return np.minimum(first, second) - overlap**2 * round_mm / 4.0


def without(solid: Floats, cutter: Floats, round_mm: float) -> Floats:
    """Take the cutter out of the solid, the edge rounded over `round_mm`."""
    return -union(-solid, cutter, round_mm)


def ellipsoid(points: Floats, centre: ArrayLike, radii: ArrayLike) -> Floats:
    """Ellipsoid along the axes: exact on its surface, first order near it."""
    local = (points - np.asarray(centre)) / np.asarray(radii)
    level = np.linalg.norm(local, axis=1)
    steepness = np.linalg.norm(local / np.asarray(radii), axis=1)
    return level * (level - 1.0) / np.maximum(steepness, 1e-9)


def in_frame(points: Floats, centre: ArrayLike, axes: ArrayLike) -> Floats:
    """Coordinates of points in the frame whose rows are the (3, 3) unit axes."""
    return (points - np.asarray(centre)) @ np.asarray(axes).T


def frame(along: ArrayLike, near: ArrayLike) -> Floats:
    """Orthonormal rows: `along`, then as near to `near` as can be, then across both."""
    first = np.asarray(along, dtype=float)
    first = first / np.linalg.norm(first)
    second = np.asarray(near, dtype=float)
    second = second - first * (first @ second)
    second = second / np.linalg.norm(second)
    return np.array([first, second, np.cross(first, second)])


def ring(points: Floats, height: float, radius: float, thick: float) -> Floats:
    """Torus round the z axis."""
    out = np.hypot(points[:, 0], points[:, 1]) - radius
    return np.hypot(out, points[:, 2] - height) - thick


def rounded_disc(points: Floats, low: float, high: float, radius: float, edge: float) -> Floats:
    """Cylinder round the z axis with rounded edges."""
    out = np.hypot(points[:, 0], points[:, 1]) - (radius - edge)
    up = np.abs(points[:, 2] - (low + high) / 2) - ((high - low) / 2 - edge)
    outside = np.hypot(np.maximum(out, 0), np.maximum(up, 0))
    return outside + np.minimum(np.maximum(out, up), 0) - edge


@dataclass(frozen=True, eq=False)
class Spine:
    """A smooth curve with a thickness: horns, tufts, the tail of the cap, grooves.

    Attributes
    ----------
    points : (n, 3) float64, [mm]
    radii : (n,) float64, [mm]
    along : (n,) float64, [mm]
        Length from the start.
    across : (n, 2, 3) float64
        Two unit vectors square to the curve, carried along it without twist.
    tree : scipy.spatial.cKDTree
    """

    points: Floats
    radii: Floats
    along: Floats
    across: Floats
    tree: cKDTree

    def nearest(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Distance to the curve [mm], length along it [mm] and turn round it [radians]."""
        _, index = self.tree.query(points)
        offset = points - self.points[index]
        tangent = np.gradient(self.points, self.along, axis=0)[index]
        step = self.along[1] - self.along[0]
        shift = np.clip(np.einsum("ij,ij->i", offset, tangent), -step, step)
        along = np.clip(self.along[index] + shift, 0, self.along[-1])
        off = offset - tangent * (along - self.along[index])[:, None]
        turn = np.arctan2(
            np.einsum("ij,ij->i", off, self.across[index, 1]),
            np.einsum("ij,ij->i", off, self.across[index, 0]),
        )
        return np.linalg.norm(off, axis=1), along, turn

    def solid(self, points: Floats) -> Floats:
        """Signed distance of the thick curve."""
        distance, along, _ = self.nearest(points)
        return distance - np.interp(along, self.along, self.radii)

    @property
    def box(self) -> Floats:
        """(2, 3) lowest and highest coordinates of the solid [mm]."""
        reach = self.radii[:, None]
        return np.array([(self.points - reach).min(axis=0), (self.points + reach).max(axis=0)])


def spine(knots: ArrayLike, spacing: float = 0.15) -> Spine:
    """Build a Spine through knots (k, 4): x, y, z and radius [mm]."""
    table = np.asarray(knots, dtype=float)
    chord = np.r_[0, np.cumsum(np.linalg.norm(np.diff(table[:, :3], axis=0), axis=1))]
    curve = CubicSpline(chord, table, bc_type="natural")
    fine = curve(np.linspace(0, chord[-1], 2000))
    length = np.r_[0, np.cumsum(np.linalg.norm(np.diff(fine[:, :3], axis=0), axis=1))]
    along = np.linspace(0, length[-1], max(int(length[-1] / spacing), 8))
    even = np.column_stack([np.interp(along, length, fine[:, k]) for k in range(4)])
    tangent = np.gradient(even[:, :3], along, axis=0)
    start = np.array([1.0, 0, 0]) if abs(tangent[0, 0]) < 0.9 else np.array([0, 1.0, 0])
    across = np.empty((len(along), 2, 3))
    for i, direction in enumerate(tangent):
        rows = frame(direction, start)
        across[i] = rows[1], rows[2]
        start = rows[1]
    return Spine(even[:, :3], even[:, 3], along, across, cKDTree(even[:, :3]))


def apply_near(
    level: Floats, points: Floats, box: ArrayLike, margin: float, change: Callable[..., Floats]
) -> None:
    """Change `level` in place, only at points within `margin` of the box: for speed."""
    low, high = np.asarray(box, dtype=float)
    near = ((points > low - margin) & (points < high + margin)).all(axis=1)
    if near.any():
        level[near] = change(level[near], points[near])
