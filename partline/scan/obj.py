"""Read OBJ: vertices and faces; materials, textures and other files are never opened."""

from __future__ import annotations

import re

import numpy as np

from partline.errors import ScanError
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.polygons import fanned

# Texture and normal numbers behind the vertex number: 12/7/3, 12//3.
_BESIDE = re.compile(rb"/[-0-9/]*")


def read_obj(text: bytes, name: str) -> Draft:
    """Read the bytes of an OBJ file; groups and materials do not reorder its faces.

    Raises
    ------
    ScanError
        If it has no vertices or a line of it cannot be read.
    """
    lines = text.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ").splitlines()
    stripped = [line.strip() for line in lines]
    points = [line[2:] for line in stripped if line[:2] in (b"v ", b"v\t")]
    polygons = [line[2:] for line in stripped if line[:2] in (b"f ", b"f\t")]
    if not points:
        raise ScanError(f"{name} has no vertices: it is not an OBJ file. Export it again.")
    vertices = _vertices(points, name)
    if not polygons:
        return Draft(vertices, np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64))
    corners, sizes = _corners(polygons, name)
    if (sizes < 3).any():
        raise ScanError(
            f"{name}: face {int(np.argmax(sizes < 3)) + 1} has fewer than three corners. "
            "Export it again."
        )
    if (corners < 0).any():
        corners = np.where(corners < 0, corners + _read_before(stripped, sizes), corners - 1)
    else:
        corners = corners - 1
    faces, numbers = fanned(corners, sizes)
    return Draft(vertices, faces, numbers)


def _vertices(points: list[bytes], name: str) -> np.ndarray:
    try:
        flat = np.array(b" ".join(points).split(), dtype=np.float64)
        if len(flat) == 3 * len(points):
            return flat.reshape(-1, 3)
        # Some carry a weight or a colour behind the coordinates.
        return np.array([line.split()[:3] for line in points], dtype=np.float64)
    except ValueError as fault:
        raise ScanError(
            f"{name}: a vertex line holds something that is not three numbers ({fault}). "
            "Export it again."
        ) from fault


def _corners(polygons: list[bytes], name: str) -> tuple[Longs, Longs]:
    plain = [_BESIDE.sub(b"", line) for line in polygons] if b"/" in polygons[0] else polygons
    try:
        sizes = np.array([len(line.split()) for line in plain], dtype=np.int64)
        return np.array(b" ".join(plain).split(), dtype=np.int64), sizes
    except (ValueError, OverflowError) as fault:
        raise ScanError(
            f"{name}: a face line holds something that is not a vertex number ({fault}). "
            "Export it again."
        ) from fault


def _read_before(lines: list[bytes], sizes: Longs) -> Longs:
    """Return, for each corner, how many vertices stand above its line: -1 means the last."""
    is_point = np.array([line[:2] in (b"v ", b"v\t") for line in lines])
    is_face = np.array([line[:2] in (b"f ", b"f\t") for line in lines])
    return np.repeat(np.cumsum(is_point)[is_face], sizes)
