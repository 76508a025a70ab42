"""The nearest face to each of many points, on the tree that rays use."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.cores import in_parts
from partline.geometry.rays import LEAF, Tree
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent

# Points that one core takes at a time: some tens of milliseconds.
_AT_A_TIME = 4096


def nearest_faces(
    tree: Tree, points: Floats, *, progress: Progress = silent, words: str = ""
) -> tuple[Floats, Ints]:
    """Return ((k,) distances [mm], (k,) face numbers) of the faces nearest to (k, 3) points.

    The nearest point of a triangle is found by the regions of its plane (Ericson 2005,
    "Real-time collision detection", 5.1.5).
    """
    points = np.ascontiguousarray(points)
    found = in_parts(
        lambda start, stop: _nearest(tree, points[start:stop]),
        len(points), _AT_A_TIME, progress=progress, words=words,
    )  # fmt: skip
    if not found:
        return np.zeros(0), np.zeros(0, dtype=np.int32)
    distance, face = zip(*found, strict=True)
    return np.concatenate(distance), np.concatenate(face)


@njit(nogil=True, cache=True)
def _nearest(tree, points):  # type: ignore[no-untyped-def]
    low, high, order, corners = tree.low, tree.high, tree.order, tree.corners
    leaves = len(low) // 2
    distance = np.empty(len(points))
    face = np.empty(len(points), np.int32)
    stack = np.empty(64, np.int64)
    reach = np.empty(64)
    for k in range(len(points)):
        p = points[k]
        best, found = np.inf, -1
        stack[0], reach[0] = 1, 0.0
        top = 0
        while top >= 0:
            node, near = stack[top], reach[top]
            top -= 1
            if near >= best:
                continue
            if node >= leaves:
                first = (node - leaves) * LEAF
                for row in range(first, min(first + LEAF, len(corners))):
                    square = _square_to(p, corners[row])
                    if square < best:
                        best, found = square, row
                continue
            one = _square_to_box(p, low[2 * node], high[2 * node])
            two = _square_to_box(p, low[2 * node + 1], high[2 * node + 1])
            # The nearer child is looked at first.
            swap = 1 if one < two else 0
            stack[top + 1 + swap], reach[top + 1 + swap] = 2 * node, one
            stack[top + 2 - swap], reach[top + 2 - swap] = 2 * node + 1, two
            top += 2
        distance[k] = np.sqrt(best)
        face[k] = order[found]
    return distance, face


@njit(nogil=True, cache=True)
def _square_to_box(p, low, high):  # type: ignore[no-untyped-def]
    total = 0.0
    for axis in range(3):
        gap = max(low[axis] - p[axis], p[axis] - high[axis], 0.0)
        total += gap * gap
    return total


@njit(nogil=True, cache=True)
def _dot(ax, ay, az, bx, by, bz):  # type: ignore[no-untyped-def]
    return ax * bx + ay * by + az * bz


@njit(nogil=True, cache=True)
def _square_to(p, corner):  # type: ignore[no-untyped-def]
    """Squared distance from a point to a triangle a, b, c, by numbers alone: no arrays are made."""
    ux, uy, uz = p[0] - corner[0, 0], p[1] - corner[0, 1], p[2] - corner[0, 2]
    bx, by, bz = (corner[1, 0] - corner[0, 0], corner[1, 1] - corner[0, 1],
                  corner[1, 2] - corner[0, 2])  # fmt: skip
    cx, cy, cz = (corner[2, 0] - corner[0, 0], corner[2, 1] - corner[0, 1],
                  corner[2, 2] - corner[0, 2])  # fmt: skip
    d1, d2 = _dot(bx, by, bz, ux, uy, uz), _dot(cx, cy, cz, ux, uy, uz)
    bb, bc, cc = (_dot(bx, by, bz, bx, by, bz), _dot(bx, by, bz, cx, cy, cz),
                  _dot(cx, cy, cz, cx, cy, cz))  # fmt: skip
    d3, d4, d5, d6 = d1 - bb, d2 - bc, d1 - bc, d2 - cc
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    if d1 <= 0.0 and d2 <= 0.0:
        s, t = 0.0, 0.0
    elif d3 >= 0.0 and d4 <= d3:
        s, t = 1.0, 0.0
    elif d6 >= 0.0 and d5 <= d6:
        s, t = 0.0, 1.0
    # A triangle with two corners at one place has no such side: the next one tells.
    elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0 and d1 > d3:
        s, t = d1 / (d1 - d3), 0.0
    elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0 and d2 > d6:
        s, t = 0.0, d2 / (d2 - d6)
    elif va <= 0.0 and d4 >= d3 and d5 >= d6 and d4 - d3 + d5 - d6 > 0.0:
        t = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        s = 1.0 - t
    else:
        total = va + vb + vc
        s, t = (vb / total, vc / total) if total > 0.0 else (0.0, 0.0)
    x, y, z = ux - s * bx - t * cx, uy - s * by - t * cy, uz - s * bz - t * cz
    return x * x + y * y + z * z
