"""Directions: tips of the block in a hand's words, and triangulated cones of directions.

A tip is said as *which way* (azimuth: the side that goes down, clockwise from the front mark)
and *how far* (tilt). In the rubber pour one looks down onto the cup, along -Z; in the resin
pour the block is turned over and one looks into the mouth, along +Z of the master's pose.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partline.geometry.surface import Floats

Pour = Literal["rubber", "resin"]

_UP = {"rubber": np.array([0.0, 0.0, 1.0]), "resin": np.array([0.0, 0.0, -1.0])}
# What lies 90 degrees clockwise from the front mark, as seen in each pour.
_RIGHT = {"rubber": np.array([-1.0, 0.0, 0.0]), "resin": np.array([1.0, 0.0, 0.0])}
_FRONT = np.array([0.0, -1.0, 0.0])


def unit(vector: ArrayLike) -> Floats:
    """Return a vector of length 1.

    Raises
    ------
    ValueError
        If it has no length or is not finite.
    """
    v = np.asarray(vector, dtype=np.float64)
    length = float(np.linalg.norm(v))
    if v.shape != (3,) or not np.isfinite(length) or length == 0.0:
        raise ValueError(f"A direction must be three numbers with a length; this is {vector!r}.")
    return v / length


def level_up(pour: Pour) -> Floats:
    """Return the upward direction of a pour with nothing tipped, in the master's pose."""
    return _UP[pour].copy()


def side(azimuth_deg: float, pour: Pour) -> Floats:
    """Return the horizontal unit vector at an azimuth, clockwise from the front mark."""
    a = np.radians(azimuth_deg)
    return np.cos(a) * _FRONT + np.sin(a) * _RIGHT[pour]


def azimuth_of(vector: ArrayLike, pour: Pour) -> float:
    """Return the azimuth [degrees, 0 to 360) of a vector's horizontal part."""
    v = np.asarray(vector, dtype=np.float64)
    return float(np.degrees(np.arctan2(v @ _RIGHT[pour], v @ _FRONT)) % 360.0)


def tipped_up(azimuth_deg: float, tilt_deg: float, pour: Pour) -> Floats:
    """Return the upward direction when the side at `azimuth_deg` goes down by `tilt_deg`."""
    t = np.radians(tilt_deg)
    return np.cos(t) * _UP[pour] - np.sin(t) * side(azimuth_deg, pour)


def tip_of(up: ArrayLike, pour: Pour) -> tuple[float, float]:
    """Return (azimuth, tilt) [degrees] of an upward direction; azimuth 0 when nothing is tipped."""
    u = unit(up)
    tilt = float(np.degrees(np.arctan2(np.linalg.norm(u[:2]), u @ _UP[pour])))
    return (azimuth_of(-u, pour) if np.linalg.norm(u[:2]) > 1e-12 else 0.0), tilt


def turn_between(start: ArrayLike, stop: ArrayLike) -> Floats:
    """Return the (3, 3) rotation by the smallest angle that takes `start` to `stop`."""
    a, b = unit(start), unit(stop)
    axis = np.cross(a, b)
    sine, cosine = float(np.linalg.norm(axis)), float(a @ b)
    if sine < 1e-15:
        if cosine > 0:
            return np.eye(3)
        axis = np.cross(a, np.eye(3)[np.argmin(np.abs(a))])
        axis /= np.linalg.norm(axis)
        return 2.0 * np.outer(axis, axis) - np.eye(3)
    k = axis / sine
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    return np.eye(3) + sine * cross + (1.0 - cosine) * cross @ cross


def octahedron_cells(levels: int) -> Floats:
    """Return (8 * 4**levels, 3, 3) spherical triangles that cover the sphere.

    Each level halves the edges; one corner of the octahedron is +Z.
    """
    axes = np.array([[[x, 0, 0], [0, y, 0], [0, 0, z]] for x in (1, -1) for y in (1, -1)
                     for z in (1, -1)], dtype=np.float64)  # fmt: skip
    cells = axes
    for _ in range(levels):
        cells = split_cells(cells)
    return cells


def split_cells(cells: Floats) -> Floats:
    """Return (4 k, 3, 3): each of (k, 3, 3) spherical triangles cut into four at its edges."""
    a, b, c = cells[:, 0], cells[:, 1], cells[:, 2]
    ab, bc, ca = (_normalised(p + q) for p, q in ((a, b), (b, c), (c, a)))
    four = ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
    return np.concatenate([np.stack(t, axis=1) for t in four])


def _normalised(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def angle_between(first: Floats, second: Floats) -> Floats:
    """Return the angles [radians] between unit vectors, exact also when small (Kahan)."""
    return 2.0 * np.arctan2(
        np.linalg.norm(first - second, axis=-1), np.linalg.norm(first + second, axis=-1)
    )


def cone_cells(about: ArrayLike, within_deg: float, levels: int) -> tuple[Floats, Floats, Floats]:
    """Cover a cone of directions with spherical triangles.

    Parameters
    ----------
    about : (3,) float64
        Axis of the cone.
    within_deg : float
        Half angle [degrees].
    levels : int
        How often the octahedron's triangles are halved.

    Returns
    -------
    cells : (k, 3, 3) float64
        Triangles that together cover the cone, some of them in part outside.
    centres : (k, 3) float64
        A direction of the cone for each: its middle, brought into the cone.
    radii : (k,) float64
        Greatest angle from the centre to a direction of the triangle [radians].
    """
    axis = unit(about)
    cells = octahedron_cells(levels) @ turn_between([0, 0, 1], axis).T
    centres, radii = cell_centres(cells, axis, within_deg)
    middle = _normalised(cells.sum(axis=1))
    reach = angle_between(middle[:, None], cells).max(axis=1)
    touch = angle_between(middle, axis) <= np.radians(within_deg) + reach + 1e-12
    return cells[touch], centres[touch], radii[touch]


def cell_centres(cells: Floats, axis: Floats, within_deg: float) -> tuple[Floats, Floats]:
    """Return the centres and radii of `cone_cells` for given triangles."""
    middle = _normalised(cells.sum(axis=1))
    off = angle_between(middle, axis)
    limit = np.radians(within_deg)
    sideways = middle - (middle @ axis)[:, None] * axis
    length = np.linalg.norm(sideways, axis=1, keepdims=True)
    sideways = np.divide(sideways, length, out=np.zeros_like(sideways), where=length > 0)
    inside = np.where(
        (off > limit)[:, None], np.cos(limit) * axis + np.sin(limit) * sideways, middle
    )
    return inside, angle_between(inside[:, None], cells).max(axis=1)
