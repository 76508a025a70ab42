"""Normals of the faces and vertices of a triangle mesh, in compiled loops."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.cores import in_parts

_Floats = NDArray[np.float64]
_Ints = NDArray[np.int32]
_ROWS = 1 << 16


def face_vectors(vertices: _Floats, faces: _Ints) -> _Floats:
    """Return (m, 3) cross products of the faces' edges; length is twice the area [mm^2]."""
    found = np.empty((len(faces), 3))
    in_parts(lambda a, b: _vectors(vertices, faces, found, a, b), len(faces), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _vectors(points, faces, found, first, stop):  # type: ignore[no-untyped-def]
    for f in range(first, stop):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        ux, uy, uz = _between(points, a, b)
        vx, vy, vz = _between(points, a, c)
        found[f, 0], found[f, 1], found[f, 2] = _cross(ux, uy, uz, vx, vy, vz)


@njit(nogil=True, cache=True)
def _between(points, a, b):  # type: ignore[no-untyped-def]
    return points[b, 0] - points[a, 0], points[b, 1] - points[a, 1], points[b, 2] - points[a, 2]


@njit(nogil=True, cache=True)
def _cross(ux, uy, uz, vx, vy, vz):  # type: ignore[no-untyped-def]
    return uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx


def lengths(vectors: _Floats) -> _Floats:
    """Return the (m,) lengths of (m, 3) vectors."""
    found = np.empty(len(vectors))
    in_parts(lambda a, b: _lengths(vectors, found, a, b), len(vectors), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _lengths(vectors, found, first, stop):  # type: ignore[no-untyped-def]
    for k in range(first, stop):
        x, y, z = vectors[k, 0], vectors[k, 1], vectors[k, 2]
        found[k] = np.sqrt(x * x + y * y + z * z)


def unit_vectors(vectors: _Floats) -> _Floats:
    """Return (m, 3) vectors of length one; zero where there is no length."""
    found = np.empty_like(vectors)
    in_parts(lambda a, b: _units(vectors, found, a, b), len(vectors), _ROWS)
    return found


@njit(nogil=True, cache=True)
def _units(vectors, found, first, stop):  # type: ignore[no-untyped-def]
    for k in range(first, stop):
        x, y, z = vectors[k, 0], vectors[k, 1], vectors[k, 2]
        length = np.sqrt(x * x + y * y + z * z)
        for axis in range(3):
            found[k, axis] = vectors[k, axis] / length if length > 0.0 else 0.0


def vertex_normals(
    vertices: _Floats, faces: _Ints, starts: NDArray[np.int64], fan: NDArray[np.int64]
) -> _Floats:
    """Return (n, 3) unit normals, faces weighted by the angle of their corner; zero where none.

    Parameters
    ----------
    vertices : (n, 3) float64
    faces : (m, 3) int32
    starts : (n + 1,) int64
        Where the faces round each vertex start in `fan`.
    fan : (3 m,) int64
    """
    found = np.empty_like(vertices)
    in_parts(lambda a, b: _normals(vertices, faces, starts, fan, found, a, b), len(vertices), _ROWS)
    return found


@njit(nogil=True, cache=True)
def weighted(points, v, a, b):  # type: ignore[no-untyped-def]
    """Return the normal of a triangle as long as its angle at vertex v; nothing without area."""
    ux, uy, uz = _between(points, v, a)
    vx, vy, vz = _between(points, v, b)
    x, y, z = _cross(ux, uy, uz, vx, vy, vz)
    size = np.sqrt(x * x + y * y + z * z)
    if not size > 0.0:
        return 0.0, 0.0, 0.0
    share = np.arctan2(size, ux * vx + uy * vy + uz * vz) / size
    return share * x, share * y, share * z


@njit(nogil=True, cache=True)
def _normals(points, faces, starts, fan, found, first, stop):  # type: ignore[no-untyped-def]
    for v in range(first, stop):
        x = y = z = 0.0
        before = -1
        for k in range(starts[v], starts[v + 1]):
            f = fan[k]
            # A face without area names a vertex twice; it weighs nothing.
            if f == before:
                continue
            before = f
            corner = 0 if faces[f, 0] == v else 1 if faces[f, 1] == v else 2
            cx, cy, cz = weighted(points, v, faces[f, (corner + 1) % 3], faces[f, (corner + 2) % 3])
            x += cx
            y += cy
            z += cz
        length = np.sqrt(x * x + y * y + z * z)
        if length > 0.0:
            found[v, 0], found[v, 1], found[v, 2] = x / length, y / length, z / length
        else:
            found[v, 0] = found[v, 1] = found[v, 2] = 0.0
