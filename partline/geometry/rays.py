"""First hits of rays on a surface, in float64, on a bounding volume hierarchy.

Kernels of the air stage cast rays from inside compiled loops without the interpreter's lock,
and a ray that slips between two triangles there is a wrong answer; hence double precision,
closed triangles, and a tree that compiled code can walk.
"""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from partline.geometry.cores import in_parts
from partline.geometry.surface import Floats, Ints, Surface

LEAF = 4
# Rays that one core casts at a time: some ten milliseconds.
_AT_A_TIME = 4096
# A ray that starts on a vertex counts what touches it there, this share of the size behind it.
TOUCH = 1e-12


class Tree(NamedTuple):
    """A complete binary tree over triangles, children of k at 2k and 2k+1.

    Attributes
    ----------
    low, high : (2p, 3) float64
        Boxes of the nodes; p is the number of leaves, leaf i is node p + i [mm].
    order : (m,) int32
        Face numbers; leaf i holds order[LEAF i : LEAF i + LEAF].
    corners : (m, 3, 3) float64
        Corner points of each face, in the tree's order [mm].
    faces : (m, 3) int32
        Vertex numbers of each face, in the tree's order.
    """

    low: Floats
    high: Floats
    order: Ints
    corners: Floats
    faces: Ints


@njit(nogil=True, cache=True)
def _spread_axis(middles, order, first, stop):  # type: ignore[no-untyped-def]
    """Return the axis along which some faces lie farthest apart."""
    best, axis = -1.0, 0
    for k in range(3):
        low = high = middles[order[first], k]
        for i in range(first + 1, stop):
            value = middles[order[i], k]
            low, high = min(low, value), max(high, value)
        if high - low > best:
            best, axis = high - low, k
    return axis


@njit(nogil=True, cache=True)
def _part(middles, order, first, stop, place, axis):  # type: ignore[no-untyped-def]
    """Bring those lowest along an axis before `place`, in [first, stop) (Hoare 1961)."""
    left, right = first, stop - 1
    while left < right:
        # The middle of three as the pivot: rows of a scan come sorted.
        a = middles[order[left], axis]
        b = middles[order[(left + right) // 2], axis]
        c = middles[order[right], axis]
        pivot = max(min(a, b), min(max(a, b), c))
        i, j = left, right
        while i <= j:
            while middles[order[i], axis] < pivot:
                i += 1
            while middles[order[j], axis] > pivot:
                j -= 1
            if i <= j:
                order[i], order[j] = order[j], order[i]
                i += 1
                j -= 1
        if place <= j:
            right = j
        elif place >= i:
            left = i
        else:
            return


@njit(nogil=True, cache=True)
def _halved(middles, leaves):  # type: ignore[no-untyped-def]
    """Return (m,) face numbers so that each node's faces are halved along its longest side.

    A node's first half is full before its second has any, so that leaf i begins at LEAF i.
    """
    m = middles.shape[0]
    order = np.arange(m).astype(np.int32)
    size = leaves * LEAF
    while size > LEAF:
        for first in range(0, m, size):
            stop, place = min(first + size, m), first + size // 2
            if place < stop:
                _part(middles, order, first, stop, place, _spread_axis(middles, order, first, stop))
        size //= 2
    return order


@njit(nogil=True, cache=True)
def _fit(low, high, leaves, count, points):  # type: ignore[no-untyped-def]
    for leaf in range(leaves):
        node = leaves + leaf
        for row in range(leaf * LEAF, min(leaf * LEAF + LEAF, count)):
            for k in range(3):
                for axis in range(3):
                    value = points[row, k, axis]
                    low[node, axis] = min(low[node, axis], value)
                    high[node, axis] = max(high[node, axis], value)
    for node in range(leaves - 1, 0, -1):
        for axis in range(3):
            low[node, axis] = min(low[2 * node, axis], low[2 * node + 1, axis])
            high[node, axis] = max(high[2 * node, axis], high[2 * node + 1, axis])


def build_tree(surface: Surface) -> Tree:
    """Return the hierarchy over the faces of a surface."""
    points = surface.vertices[surface.faces]
    leaves = 1
    while leaves * LEAF < len(points):
        leaves *= 2
    order = _halved(points.mean(axis=1), leaves)
    points = np.ascontiguousarray(points[order])
    low = np.full((2 * leaves, 3), np.inf)
    high = np.full((2 * leaves, 3), -np.inf)
    _fit(low, high, leaves, len(order), points)
    return Tree(low, high, order, points, np.ascontiguousarray(surface.faces[order]))


@njit(nogil=True, cache=True)
def struck(corners, row, kx, ky, kz, px, py, pz, shear_x, shear_y, shear_z):  # type: ignore[no-untyped-def]
    """Return how far along a ray a triangle is hit [lengths of the direction]; NaN if it is not.

    The ray is given by its origin and shear in the axes `kx`, `ky`, `kz`, as `first_hit` sets up.
    """
    az = corners[row, 0, kz] - pz
    bz = corners[row, 1, kz] - pz
    cz = corners[row, 2, kz] - pz
    ax = corners[row, 0, kx] - px - shear_x * az
    ay = corners[row, 0, ky] - py - shear_y * az
    bx = corners[row, 1, kx] - px - shear_x * bz
    by = corners[row, 1, ky] - py - shear_y * bz
    cx = corners[row, 2, kx] - px - shear_x * cz
    cy = corners[row, 2, ky] - py - shear_y * cz
    u = cx * by - cy * bx
    v = ax * cy - ay * cx
    w = bx * ay - by * ax
    if (u < 0.0 or v < 0.0 or w < 0.0) and (u > 0.0 or v > 0.0 or w > 0.0):
        return np.nan
    det = u + v + w
    if det == 0.0:
        return np.nan
    return (u * az + v * bz + w * cz) / det * shear_z


@njit(nogil=True, cache=True)
def first_hit(tree, ox, oy, oz, dx, dy, dz, nearest, farthest, skip):  # type: ignore[no-untyped-def]
    """Return (distance, face) of the first triangle from `nearest` to `farthest`; -1 if none.

    `tree` is a `Tree`; the distance is in lengths of the direction. Faces round the vertex
    `skip` are passed over (-1: none). No ray slips between two triangles: both sides of an edge
    see the same number with the other sign (Woop, Benthin and Wald 2013, "Watertight ray/triangle
    intersection"), here in float64, and zero counts as inside.
    """
    low, high, order = tree.low, tree.high, tree.order
    corners, faces = tree.corners, tree.faces
    # Axis the ray runs along most, and the shear that turns the ray into that axis.
    kz = 0 if abs(dx) >= abs(dy) and abs(dx) >= abs(dz) else (1 if abs(dy) >= abs(dz) else 2)
    kx, ky = (kz + 1) % 3, (kz + 2) % 3
    o3, d3 = (ox, oy, oz), (dx, dy, dz)
    px, py, pz = o3[kx], o3[ky], o3[kz]
    shear_x, shear_y, shear_z = d3[kx] / d3[kz], d3[ky] / d3[kz], 1.0 / d3[kz]
    leaves = low.shape[0] // 2
    stack = np.empty(64, dtype=np.int64)
    stack[0] = 1
    depth = 1
    best = farthest
    face = -1
    ix = 1.0 / dx if dx != 0.0 else np.inf
    iy = 1.0 / dy if dy != 0.0 else np.inf
    iz = 1.0 / dz if dz != 0.0 else np.inf
    while depth > 0:
        depth -= 1
        node = stack[depth]
        if low[node, 0] > high[node, 0]:
            continue  # an empty box, beyond the last face; its infinities would let every ray in
        enter = nearest
        leave = best
        for axis in range(3):
            if axis == 0:
                o, d, i = ox, dx, ix
            elif axis == 1:
                o, d, i = oy, dy, iy
            else:
                o, d, i = oz, dz, iz
            a = low[node, axis] - o
            b = high[node, axis] - o
            if d == 0.0:
                if a > 0.0 or b < 0.0:
                    leave = -np.inf
                continue
            a *= i
            b *= i
            if a > b:
                a, b = b, a
            # Widened by an ulp or two so that a flat box is never missed.
            enter = max(enter, a - 1e-12 * abs(a))
            leave = min(leave, b + 1e-12 * abs(b))
        if enter > leave:
            continue
        if node < leaves:
            # The child whose box lies nearer along the ray is walked first: a hit prunes the other.
            ahead = 0.0
            for axis in range(3):
                d = dx if axis == 0 else (dy if axis == 1 else dz)
                ahead += d * (
                    low[2 * node + 1, axis]
                    + high[2 * node + 1, axis]
                    - low[2 * node, axis]
                    - high[2 * node, axis]
                )
            first = 1 if ahead > 0.0 else 0  # NaN beside an empty box counts as not ahead
            stack[depth] = 2 * node + first
            stack[depth + 1] = 2 * node + 1 - first
            depth += 2
            continue
        start = (node - leaves) * LEAF
        for row in range(start, min(start + LEAF, order.shape[0])):
            if skip >= 0 and (
                faces[row, 0] == skip or faces[row, 1] == skip or faces[row, 2] == skip
            ):
                continue
            t = struck(corners, row, kx, ky, kz, px, py, pz, shear_x, shear_y, shear_z)
            if nearest < t < best:
                best = t
                face = order[row]
    return best, face


@njit(nogil=True, cache=True)
def _first_all(tree, origins, directions, nearest, distance, face, start, stop):  # type: ignore[no-untyped-def]
    for k in range(start, stop):
        o = origins[k]
        d = directions[k]
        distance[k], face[k] = first_hit(
            tree, o[0], o[1], o[2], d[0], d[1], d[2], nearest, np.inf, -1
        )


class Rays:
    """Ray casts against one surface.

    Parameters
    ----------
    surface : Surface
    """

    def __init__(self, surface: Surface) -> None:
        self.tree = build_tree(surface)
        self.size = float(np.linalg.norm(surface.extents))
        # A hit nearer than this is the face that a ray starts on [mm].
        self.least = 1e-9 * self.size

    def first(
        self, origins: ArrayLike, directions: ArrayLike, *, nearest: float | None = None
    ) -> tuple[Floats, Ints]:
        """Return the first hit of each ray.

        Parameters
        ----------
        origins, directions : (k, 3) or (3,) float64
            Start points [mm] and directions; a single one is used for all.
        nearest : float, optional
            Hits nearer than this are passed over [lengths of the direction]; by default a
            billionth of the surface's size, so that a ray leaves the face it starts on.

        Returns
        -------
        distance : (k,) float64
            In lengths of the direction; inf where nothing is hit.
        face : (k,) int32
            Face that is hit; -1 where none.
        """
        o, d = np.broadcast_arrays(
            np.atleast_2d(np.asarray(origins, dtype=np.float64)),
            np.atleast_2d(np.asarray(directions, dtype=np.float64)),
        )
        distance = np.empty(len(o))
        face = np.empty(len(o), dtype=np.int32)
        least = self.least if nearest is None else nearest
        o, d = np.ascontiguousarray(o), np.ascontiguousarray(d)
        in_parts(
            lambda a, b: _first_all(self.tree, o, d, least, distance, face, a, b),
            len(o),
            _AT_A_TIME,
        )
        return distance, face

    def entering(self, faces: ArrayLike, directions: ArrayLike) -> np.ndarray:
        """Return (k,) bool: whether a ray goes into the solid at a face that it hits, not out.

        Parameters
        ----------
        faces : (k,) int
            As `first` gives them, none of them -1.
        directions : (k, 3) or (3,) float64
        """
        a, b, c = np.moveaxis(self.tree.corners[self._row_of[np.asarray(faces)]], 1, 0)
        out = np.cross(b - a, c - a)
        return np.asarray((out * np.asarray(directions)).sum(axis=1) < 0)

    @cached_property
    def _row_of(self) -> Ints:
        rows = np.empty(len(self.tree.order), dtype=np.int32)
        rows[self.tree.order] = np.arange(len(rows), dtype=np.int32)
        return rows
