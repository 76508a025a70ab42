"""Cotangents of a mesh's corners, gathered round its vertices, in compiled loops."""

from __future__ import annotations

import numpy as np
from numba import njit
from scipy import sparse

from partline.geometry.cores import in_parts
from partline.geometry.surface import Floats, Surface

_ROWS = 1 << 16
# Share of the mean edge by which a triangle must miss being a line (Sharp and Crane 2020).
_LEAST_SLACK = 1e-5


def corner_weights(surface: Surface) -> tuple[Floats, Floats]:
    """Return (m, 3) half the cotangent of each corner [1], and (m,) four times each area [mm^2].

    One length is added to every edge, the least with which each triangle keeps the triangle
    inequality with some slack: then the cotangents of a sliver stay finite and those of one
    triangle still belong together, which keeps the Laplacian positive.

    References
    ----------
    Sharp and Crane 2020 (lengthened edges).
    """
    m = len(surface.faces)
    sides, halves, areas = np.empty((m, 3)), np.empty((m, 3)), np.empty(m)
    points, faces = surface.vertices, surface.faces
    parts = in_parts(lambda a, b: _sides(points, faces, sides, a, b), m, _ROWS)
    slack, total = min(part[0] for part in parts), sum(part[1] for part in parts)
    added = max(0.0, _LEAST_SLACK * total / (3 * m) - slack)
    in_parts(lambda a, b: _cotangents(sides, added, halves, areas, a, b), m, _ROWS)
    return halves, areas


@njit(nogil=True, cache=True)
def _sides(points, faces, sides, first, stop):  # type: ignore[no-untyped-def]
    """Fill in the sides, k opposite corner k; return the least slack and the sum of all."""
    slack, total = np.inf, 0.0
    for f in range(first, stop):
        perimeter = longest = 0.0
        for k in range(3):
            a, b = faces[f, (k + 2) % 3], faces[f, (k + 1) % 3]
            square = 0.0
            for axis in range(3):
                square += (points[a, axis] - points[b, axis]) ** 2
            sides[f, k] = np.sqrt(square)
            perimeter += sides[f, k]
            longest = max(longest, sides[f, k])
        slack = min(slack, perimeter - 2.0 * longest)
        total += perimeter
    return slack, total


@njit(nogil=True, cache=True)
def _cotangents(sides, added, halves, areas, first, stop):  # type: ignore[no-untyped-def]
    for f in range(first, stop):
        x, y, z = sides[f, 0] + added, sides[f, 1] + added, sides[f, 2] + added
        a, c = max(x, y, z), min(x, y, z)
        b = max(min(x, y), min(max(x, y), z))
        # Heron's formula in the order that keeps its digits on slivers (Kahan 2014).
        product = (a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c))
        areas[f] = max(np.sqrt(max(product, 0.0)), np.finfo(np.float64).tiny)
        squares = x * x + y * y + z * z
        halves[f, 0] = 0.5 * (squares - 2.0 * x * x) / areas[f]
        halves[f, 1] = 0.5 * (squares - 2.0 * y * y) / areas[f]
        halves[f, 2] = 0.5 * (squares - 2.0 * z * z) / areas[f]


def gathered(surface: Surface, halves: Floats, areas: Floats) -> tuple[Floats, sparse.csr_array]:
    """Return (n,) a twelfth of `areas` round each vertex, and the (n, n) Laplacian of `halves`."""
    n = len(surface.vertices)
    starts, ring = surface.ring
    pointers = (starts + np.arange(n + 1)).astype(np.int32)
    columns = np.empty(len(ring) + n, dtype=np.int32)
    entries = np.empty(len(columns))
    mass = np.empty(n)
    faces, around, rings = surface.faces, surface.fans_unkept, (starts, ring)
    matrix = pointers, columns, entries
    in_parts(lambda a, b: _rows(faces, around, rings, halves, areas, matrix, mass, a, b), n, _ROWS)
    return mass, sparse.csr_array((entries, columns, pointers), shape=(n, n))


@njit(nogil=True, cache=True)
def _rows(faces, around, rings, halves, areas, matrix, mass, first, stop):  # type: ignore[no-untyped-def]
    begins, fan = around
    starts, ring = rings
    pointers, columns, entries = matrix
    for v in range(first, stop):
        low, high = pointers[v], pointers[v + 1]
        # The ring has the larger neighbours before the smaller, both rising; a row has all rising.
        many = high - low - 1
        near = ring[starts[v] : starts[v] + many]
        larger, last = 0, v - 1
        while larger < many and near[larger] > last:
            last = near[larger]
            larger += 1
        own = low + many - larger
        columns[low:own] = near[larger:]
        columns[own + 1 : high] = near[:larger]
        columns[own] = v
        entries[low:high] = 0.0
        mass[v] = 0.0
        for k in range(begins[v], begins[v + 1]):
            f = fan[k]
            mass[v] += areas[f] / 12.0
            mine = 0 if faces[f, 0] == v else 1 if faces[f, 1] == v else 2
            for corner in range(3):
                other = faces[f, corner]
                if other == v:
                    continue
                # The edge to it lies opposite the third corner.
                third = 3 - corner - mine
                at = low + np.searchsorted(columns[low:high], other)
                entries[at] -= halves[f, third]
                entries[own] += halves[f, third]
