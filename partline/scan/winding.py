"""How often a surface, holes and all, goes round each of many points: generalised winding numbers.

Inside a closed surface the number is 1 and outside 0; beside a hole it runs smoothly from one to
the other, and where shells overlap it adds up (Jacobson, Kavan and Sorkine-Hornung 2013, "Robust
inside-outside segmentation using generalized winding numbers"). Faces far away count as one
dipole with its first moments (Barill, Dickson, Schmidt, Levin and Jacobson 2018, "Fast winding
numbers for soups and clouds"); those near count exactly (van Oosterom and Strackee 1983).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.geometry.cores import in_parts
from partline.geometry.rays import LEAF, Tree, build_tree
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent
from partline.scan.edges import Longs

# A group of faces is far where the distance is this many times its radius. The error stays below
# 0.05 turns, 0.007 on average (tests/scan/test_winding.py): a place counts as inside above 0.5,
# and beside a face, where it matters, every face counts exactly.
FAR = 2.3
_AT_A_TIME = 5_000
# To build the tree takes about as long as to ask every face at so many points.
FEW = 16
WORDS = "finding what is inside"


class Dipoles(NamedTuple):
    """A tree of faces with what each node looks like from afar.

    Attributes
    ----------
    tree : Tree
    centre : (2p, 3) float64
        Middle of each node's faces, weighted by area.
    radius : (2p,) float64
        Distance from there to the farthest corner of its box.
    vector : (2p, 3) float64
        Sum of the area vectors.
    moment : (2p, 3, 3) float64
        Sum of area vector times offset from the centre.
    """

    tree: Tree
    centre: Floats
    radius: Floats
    vector: Floats
    moment: Floats


def dipoles(vertices: Floats, faces: Longs) -> Dipoles:
    """Return the tree over (m, 3) faces."""
    tree = build_tree(Surface(vertices, faces))
    a, b, c = (tree.corners[:, k] for k in range(3))
    area_vector = 0.5 * np.cross(b - a, c - a)
    middle = (a + b + c) / 3.0
    nodes = len(tree.low)
    leaves = nodes // 2
    area = np.linalg.norm(area_vector, axis=1)
    # Sums per node: area, area x middle, vector, vector (x) middle; parents add their children.
    each = np.column_stack(
        [
            area,
            area[:, None] * middle,
            area_vector,
            (area_vector[:, :, None] * middle[:, None, :]).reshape(-1, 9),
        ]
    )
    total = np.zeros((nodes, each.shape[1]))
    first = np.arange(0, len(each), LEAF)
    total[leaves : leaves + len(first)] = np.add.reduceat(each, first, axis=0)
    size = leaves
    while size > 1:
        size //= 2
        total[size : 2 * size] = total[2 * size : 4 * size].reshape(size, 2, -1).sum(axis=1)
    low, high = (np.where(np.isfinite(side), side, 0.0) for side in (tree.low, tree.high))
    weight = total[:, :1]
    mean = total[:, 1:4] / np.where(weight > 0, weight, 1.0)
    centre = np.where(weight > 0, mean, 0.5 * (low + high))
    vector = total[:, 4:7]
    moment = total[:, 7:].reshape(-1, 3, 3) - vector[:, :, None] * centre[:, None, :]
    radius = np.linalg.norm(np.maximum(high - centre, centre - low), axis=1)
    return Dipoles(tree, centre, radius, np.ascontiguousarray(vector), moment)


def winding_numbers(
    field: Dipoles, points: Floats, *, far: float = FAR, progress: Progress = silent
) -> Floats:
    """Return the (k,) winding numbers at (k, 3) points; exact but for groups of faces far away."""
    points = np.ascontiguousarray(points)
    progress(0.0, WORDS)
    found = in_parts(
        lambda start, stop: _numbers(field, points[start:stop], far)[0],
        len(points), _AT_A_TIME, progress=progress, words=WORDS,
    )  # fmt: skip
    return np.concatenate(found) if found else np.zeros(0)


def winding_numbers_of_few(vertices: Floats, faces: Longs, points: Floats) -> Floats:
    """Return the exact (k,) winding numbers of (m, 3) faces at (k, 3) points, without a tree.

    Quicker than to build one where there are no more than `FEW` points.
    """
    return _numbers_of_few(vertices, faces, np.ascontiguousarray(points))


@njit(nogil=True, cache=True)
def _numbers_of_few(vertices, faces, points):  # type: ignore[no-untyped-def]
    total = np.zeros(len(points))
    corners = np.empty((1, 3, 3))
    for f in range(len(faces)):
        for k in range(3):
            corners[0, k] = vertices[faces[f, k]]
        for i in range(len(points)):
            lower, upper = _half_angle(corners, 0, points[i, 0], points[i, 1], points[i, 2])
            total[i] += np.arctan2(upper, lower)
    return total / (2.0 * np.pi)


def effort(field: Dipoles, points: Floats, *, far: float = FAR) -> float:
    """Return how many groups and faces are asked at one of the (k, 3) points, on average."""
    return numbers_and_effort(field, points, far=far)[1]


def numbers_and_effort(field: Dipoles, points: Floats, *, far: float = FAR) -> tuple[Floats, float]:
    """Return the (k,) winding numbers at (k, 3) points, and the `effort` they took."""
    numbers, asked = _numbers(field, np.ascontiguousarray(points), far)
    return numbers, asked / max(len(points), 1)


@njit(nogil=True, cache=True)
def _numbers(field, points, far):  # type: ignore[no-untyped-def]
    out = np.empty(len(points))
    asked = 0
    for k in range(len(points)):
        out[k], more = _number(field, points[k, 0], points[k, 1], points[k, 2], far)
        asked += more
    return out, asked


@njit(nogil=True, cache=True)
def _number(field, x, y, z, far):  # type: ignore[no-untyped-def]
    corners = field.tree.corners
    leaves = len(field.radius) // 2
    stack = np.empty(64, np.int64)
    stack[0] = 1
    top = 0
    total, asked = 0.0, 0
    # The angles of near faces add up as the turn of one complex number, so that only their sum
    # needs an arc tangent; whole turns are counted where it passes the negative real axis.
    re, im, turns = 1.0, 0.0, 0
    while top >= 0:
        node = stack[top]
        top -= 1
        asked += 1
        rx = field.centre[node, 0] - x
        ry = field.centre[node, 1] - y
        rz = field.centre[node, 2] - z
        square = rx * rx + ry * ry + rz * rz
        reach = far * field.radius[node]
        if square > reach * reach:
            total += _from_afar(field.vector, field.moment, node, rx, ry, rz, square)
        elif node < leaves:
            stack[top + 1] = 2 * node
            stack[top + 2] = 2 * node + 1
            top += 2
        else:
            first = (node - leaves) * LEAF
            for row in range(first, min(first + LEAF, len(corners))):
                lower, upper = _half_angle(corners, row, x, y, z)
                asked += 1
                size = abs(lower) + abs(upper)
                if size == 0.0:
                    continue
                lower, upper = lower / size, upper / size
                new = re * upper + im * lower
                re = re * lower - im * upper
                if im >= 0.0 and upper >= 0.0 and new < 0.0:
                    turns += 1
                elif im < 0.0 and upper < 0.0 and new >= 0.0:
                    turns -= 1
                im = new
            size = abs(re) + abs(im)
            re, im = re / size, im / size
    total += 2.0 * (np.arctan2(im, re) + 2.0 * np.pi * turns)
    return total / (4.0 * np.pi), asked


@njit(nogil=True, cache=True)
def _from_afar(vector, moment, node, rx, ry, rz, square):  # type: ignore[no-untyped-def]
    """Solid angle of a dipole and its first moments at offset r."""
    if square == 0.0:
        return 0.0
    less = 1.0 / square
    main = vector[node, 0] * rx + vector[node, 1] * ry + vector[node, 2] * rz
    trace = moment[node, 0, 0] + moment[node, 1, 1] + moment[node, 2, 2]
    bent = (
        rx * (moment[node, 0, 0] * rx + moment[node, 0, 1] * ry + moment[node, 0, 2] * rz)
        + ry * (moment[node, 1, 0] * rx + moment[node, 1, 1] * ry + moment[node, 1, 2] * rz)
        + rz * (moment[node, 2, 0] * rx + moment[node, 2, 1] * ry + moment[node, 2, 2] * rz)
    )
    return (main + trace - 3.0 * bent * less) * less * np.sqrt(less)


@njit(nogil=True, cache=True)
def _half_angle(corners, row, x, y, z):  # type: ignore[no-untyped-def]
    """A complex number whose angle is half the solid angle of a triangle, positive from behind."""
    ax, ay, az = corners[row, 0, 0] - x, corners[row, 0, 1] - y, corners[row, 0, 2] - z
    bx, by, bz = corners[row, 1, 0] - x, corners[row, 1, 1] - y, corners[row, 1, 2] - z
    cx, cy, cz = corners[row, 2, 0] - x, corners[row, 2, 1] - y, corners[row, 2, 2] - z
    la = np.sqrt(ax * ax + ay * ay + az * az)
    lb = np.sqrt(bx * bx + by * by + bz * bz)
    lc = np.sqrt(cx * cx + cy * cy + cz * cz)
    upper = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    lower = (
        la * lb * lc
        + lc * (ax * bx + ay * by + az * bz)
        + la * (bx * cx + by * cy + bz * cz)
        + lb * (cx * ax + cy * ay + cz * az)
    )
    return lower, upper
