"""The skin round each face: its mean normal, and how far its faces lean from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.cores import in_parts
from partline.geometry.normals import lengths
from partline.geometry.surface import Floats, Ints, Surface

_ROWS = 1 << 16


@dataclass(frozen=True, eq=False)
class Patches:
    """Means over the skin round each face.

    Attributes
    ----------
    normals : (m, 3) float64
        Unit vectors; zero where the skin has no area.
    lean_rad : (m,) float64
        How far the normals round a face stray from their mean: 0 where all lie in one plane; about
        the root of their mean square angle where it is small [radians].
    """

    normals: Floats
    lean_rad: Floats


def two_sides(surface: Surface) -> Ints:
    """Return (e, 2) the two sides, 3 face + corner, along each edge; -1 unless it has exactly two.

    A face that names a vertex twice is none.
    """
    sides: Ints = _paired(surface.faces, surface.face_edges, len(surface.edges))
    return sides


@njit(nogil=True, cache=True)
def _paired(faces, edge_of, count):  # type: ignore[no-untyped-def]
    sides = np.full((count, 2), -1, dtype=np.int32)
    many = np.zeros(count, dtype=np.int32)
    for f in range(edge_of.shape[0]):
        a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
        if a == b or b == c or c == a:
            continue
        for k in range(3):
            edge = edge_of[f, k]
            if many[edge] < 2:
                sides[edge, many[edge]] = 3 * f + k
            many[edge] += 1
    for edge in range(count):
        if many[edge] != 2:
            sides[edge, 0] = sides[edge, 1] = -1
    return sides


def faces_beside(sides: Ints, closed: NDArray[np.bool_], count: int) -> Ints:
    """Return (m, 3) the face beyond each side of each face; -1 for none, or beyond a closed edge.

    Parameters
    ----------
    sides : (e, 2) int32
        From `two_sides`.
    closed : (e,) bool
    count : int
        Number of faces.
    """
    beside: Ints = _across(sides, closed, count)
    return beside


@njit(nogil=True, cache=True)
def _across(sides, closed, count):  # type: ignore[no-untyped-def]
    beside = np.full((count, 3), -1, dtype=np.int32)
    for edge in range(len(sides)):
        one, two = sides[edge]
        if one >= 0 and not closed[edge]:
            beside[one // 3, one % 3] = two // 3
            beside[two // 3, two % 3] = one // 3
    return beside


def patches(beside: Ints, normals: Floats, areas_mm2: Floats, rounds: int) -> Patches:
    """Return the means of normals by area, each round over a face and the faces beside it.

    Parameters
    ----------
    beside : (m, 3) int32
        From `faces_beside`.
    normals : (m, 3) float64
        Of unit length.
    areas_mm2 : (m,) float64
        Of the faces [mm^2].
    rounds : int
        On even triangles the patch is a bell, 0.35 sqrt(rounds) edges wide along any line (one
        standard deviation).
    """
    before = np.column_stack([normals * areas_mm2[:, None], areas_mm2])
    after = np.empty_like(before)
    for _ in range(rounds):
        in_parts(partial(_means, beside, before, after), len(beside), _ROWS)
        before, after = after, before
    length = lengths(np.ascontiguousarray(before[:, :3]))
    with_area = length > 0.0
    share = np.divide(length, before[:, 3], out=np.zeros(len(length)), where=with_area)
    unit = np.divide(before[:, :3], length[:, None], out=after[:, :3], where=with_area[:, None])
    unit[~with_area] = 0.0
    return Patches(np.ascontiguousarray(unit), np.arccos(np.minimum(share, 1.0)))


@njit(nogil=True, cache=True)
def _means(beside, before, after, first, stop):  # type: ignore[no-untyped-def]
    for f in range(first, stop):
        x, y, z, area = before[f, 0], before[f, 1], before[f, 2], before[f, 3]
        many = 1.0
        for k in range(3):
            other = beside[f, k]
            if other >= 0:
                x += before[other, 0]
                y += before[other, 1]
                z += before[other, 2]
                area += before[other, 3]
                many += 1.0
        after[f, 0], after[f, 1], after[f, 2] = x / many, y / many, z / many
        after[f, 3] = area / many
