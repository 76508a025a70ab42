"""The ram as a scanner may give it: in centimetres, tilted, holed, with specks and no underside.

Every spoiling is known: what partline makes of it can be held against the clean ram.
"""

from __future__ import annotations

import fast_simplification
import numpy as np
from distance_shapes import Floats
from numpy.typing import NDArray

Ints = NDArray[np.int64]

FACES = 50_000
NOISE_MM = 0.01
TILT_DEG = 11.0
MM_PER_UNIT = 10.0
# Where it lies in the scanner's own coordinates [mm].
SHIFT = np.array([123.0, -45.0, 300.0])
# Middle and radius of the holes under the chin and beard, where no scanner sees [mm].
HOLES = (((0.0, -12.4, 23.0), 1.6), ((-5.6, -11.0, 21.0), 1.2), ((5.0, -11.4, 20.5), 1.0))
SPECKS = 9


def tilt() -> Floats:
    """(3, 3) turn by the tilt about a level axis, from front right to back left."""
    axis = np.array([1.0, 0.35, 0.0]) / np.hypot(1.0, 0.35)
    x, y, z = axis
    skew = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(TILT_DEG)
    return np.eye(3) + np.sin(angle) * skew + (1 - np.cos(angle)) * skew @ skew


def in_file(points: Floats) -> Floats:
    """Take (k, 3) points of the clean ram [mm] to the file's coordinates [cm]."""
    return (np.atleast_2d(points) @ tilt().T + SHIFT) / MM_PER_UNIT


def spoiled(vertices: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """Return the bad scan of the clean ram; the same each time.

    Parameters
    ----------
    vertices : (n, 3) float64, [mm]
    faces : (m, 3) int64
    """
    rng = np.random.default_rng(11)
    points, corners = fast_simplification.simplify(
        np.ascontiguousarray(vertices, dtype=np.float32), faces.astype(np.int32),
        target_count=FACES,
    )  # fmt: skip
    points, corners = points.astype(np.float64), corners.astype(np.int64)
    # Chords cut corners: a micrometre or two along the normals gives the volume back.
    normals, area = _normals(points, corners)
    points += normals * (_volume(vertices, faces) - _volume(points, corners)) / area
    middle = points[corners].mean(axis=1)
    keep = points[corners][:, :, 2].max(axis=1) > 0.02
    for place, radius in HOLES:
        start = points[np.argmin(np.linalg.norm(points - place, axis=1))]
        keep &= np.linalg.norm(middle - start, axis=1) > radius
    corners = corners[keep]
    points = points + rng.normal(0.0, NOISE_MM, points.shape)
    parts, ends = [points], [corners]
    low, high = points.min(axis=0), points.max(axis=0)
    tetrahedron = np.array([[0, 0, 0], [1, 0, 0], [0.4, 0.9, 0], [0.5, 0.3, 0.8]])
    sides = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    for k in range(SPECKS):
        # On a ring round the piece, where nothing else is.
        angle = 2 * np.pi * k / SPECKS
        out = 0.5 * np.linalg.norm((high - low)[:2]) + rng.uniform(1.0, 6.0)
        place = [out * np.cos(angle), out * np.sin(angle), rng.uniform(low[2], high[2])]
        ends.append(sides + sum(map(len, parts)))
        parts.append(np.array(place) + rng.uniform(0.3, 0.9) * tetrahedron)
    used, number = np.unique(np.vstack(ends), return_inverse=True)
    return in_file(np.vstack(parts)[used]), number.reshape(-1, 3)


def _volume(points: Floats, faces: Ints) -> float:
    a, b, c = (points[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def _normals(points: Floats, faces: Ints) -> tuple[Floats, float]:
    """(n, 3) outward unit normals of the vertices, and the whole area."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    vector = np.cross(b - a, c - a)
    total = np.zeros_like(points)
    for k in range(3):
        np.add.at(total, faces[:, k], vector)
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return total / np.maximum(length, 1e-12), 0.5 * float(np.linalg.norm(vector, axis=1).sum())
