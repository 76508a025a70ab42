"""Read OBJ: vertices and faces; materials, textures and other files are never opened."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np

from partline.errors import ScanError
from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.limits import blocks, check_counts, check_lines, check_polygons
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
    whole = text.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")
    check_lines(name, whole)
    vertices, faces, numbers = [_NO_POINTS], [_NO_FACES], [_NO_FACES[:, 0]]
    points = triangles = polygons = 0
    for block in blocks(whole):
        read = _block(block, name, points, polygons)
        points, triangles = points + len(read.vertices), triangles + len(read.faces)
        check_counts(name, triangles=triangles, vertices=points)
        vertices.append(read.vertices)
        faces.append(read.faces)
        numbers.append(read.numbers + polygons)
        polygons += int(read.numbers[-1]) + 1 if len(read.numbers) else 0
    if not points:
        raise ScanError(f"{name} has no vertices: it is not an OBJ file. Export it again.")
    return Draft(np.vstack(vertices), np.vstack(faces), np.concatenate(numbers))


class _Block(NamedTuple):
    """Some lines of a file: their vertices, their triangles, and of which polygon each is."""

    vertices: Floats
    faces: Longs
    numbers: Longs


_NO_POINTS: Floats = np.zeros((0, 3))
_NO_FACES: Longs = np.zeros((0, 3), dtype=np.int64)


def _block(block: bytes, name: str, points_before: int, polygons_before: int) -> _Block:
    stripped = [line.strip() for line in block.splitlines()]
    points = [line[2:] for line in stripped if line[:2] in (b"v ", b"v\t")]
    polygons = [line[2:] for line in stripped if line[:2] in (b"f ", b"f\t")]
    vertices = _vertices(points, name) if points else _NO_POINTS
    if not polygons:
        return _Block(vertices, _NO_FACES, _NO_FACES[:, 0])
    corners, sizes = _corners(polygons, name)
    if (sizes < 3).any():
        raise ScanError(
            f"{name}: face {polygons_before + int(np.argmax(sizes < 3)) + 1} has fewer than three "
            "corners. Export it again."
        )
    check_polygons(name, sizes, polygons_before)
    if (corners < 0).any():
        before = points_before + _read_before(stripped, sizes)
        corners = np.where(corners < 0, corners + before, corners - 1)
    else:
        corners = corners - 1
    return _Block(vertices, *fanned(corners, sizes))


def _vertices(points: list[bytes], name: str) -> np.ndarray:
    try:
        flat = np.array(b" ".join(points).split(), dtype=np.float64)
        if len(flat) == 3 * len(points):
            return flat.reshape(-1, 3)
        # Some carry a weight or a colour behind the coordinates.
        found = np.array([line.split()[:3] for line in points], dtype=np.float64)
        if found.shape != (len(points), 3):
            raise ValueError("fewer than three")
        return found
    except ValueError as fault:
        raise ScanError(
            f"{name}: a vertex line holds something that is not three numbers ({fault}). "
            "Export it again."
        ) from fault


def _corners(polygons: list[bytes], name: str) -> tuple[Longs, Longs]:
    beside = any(b"/" in line for line in polygons)
    plain = [_BESIDE.sub(b"", line) for line in polygons] if beside else polygons
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
