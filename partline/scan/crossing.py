"""Faces that pass through each other."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.errors import NotSolid
from partline.geometry.cores import in_parts
from partline.geometry.surface import Floats
from partline.progress import Progress, silent
from partline.scan.draft import Draft
from partline.scan.edges import Longs
from partline.scan.joining import first_at_same_place

_LEAF = 4
_AT_A_TIME = 50_000
# Faces of a surface meet the boxes of some twenty others. Where they lie in heaps every one meets
# every other; after this many on average, and these to begin with, the search gives up.
_MEETINGS_EACH = 150
_MEETINGS_FREE = 5_000_000


def crossing_pairs(draft: Draft, *, most: int = 200_000, progress: Progress = silent) -> Longs:
    """Return (k, 2) pairs of faces of which an edge of one pierces the inside of the other.

    Faces that only touch, that share an edge, or that lie in one plane are not counted. A tree
    of boxes over the faces, sorted along a space-filling curve (Morton 1966), finds the
    candidates.

    Parameters
    ----------
    draft : Draft
    most : int
        Stop after this many pairs.
    progress : Progress, optional
        Heard every few ten thousand faces, so that the search can be stopped.

    Raises
    ------
    NotSolid
        If faces lie on top of one another in heaps.
    """
    if len(draft.faces) < 2:
        return np.zeros((0, 2), dtype=np.int64)
    # Vertices parted at one place still touch there: they count as shared.
    faces = first_at_same_place(draft.vertices)[draft.faces]
    a, b, c = (draft.vertices[faces[:, k]] for k in range(3))
    low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
    order = np.argsort(_curve(0.5 * (low + high)), kind="stable")
    box_low, box_high = _tree(low[order], high[order])
    sorted_faces, low, high = faces[order], low[order], high[order]
    found: list[Longs] = []
    budget = _MEETINGS_FREE + _MEETINGS_EACH * len(faces)
    searched = in_parts(
        lambda start, stop: _search(draft.vertices, sorted_faces, low, high, box_low, box_high,
                                    start, stop, most, budget),
        len(faces), _AT_A_TIME, progress=progress,
        words="looking for faces that pass through each other",
    )  # fmt: skip
    for pairs, met, last in searched:
        found.append(pairs)
        budget -= met
        if budget <= 0:
            x, y, z = draft.vertices[sorted_faces[last]].mean(axis=0)
            raise NotSolid(
                "Faces lie on top of one another in heaps, so that none can be told from the next, "
                f"near ({x:.4g}, {y:.4g}, {z:.4g}). Remove what is there twice in the program you "
                "model with."
            )
    return np.sort(order[np.vstack(found)[:most]], axis=1)


def _curve(points: Floats) -> Longs:
    """Position of each (m, 3) point along a Morton curve with 2^20 steps a side."""
    span = np.ptp(points, axis=0).max()
    scaled = (points - points.min(axis=0)) / (span if span > 0 else 1.0)
    cell = (scaled * 1_048_575).astype(np.int64)
    code = np.zeros(len(points), dtype=np.int64)
    for axis in range(3):
        c = cell[:, axis]
        c = (c | (c << 32)) & 0x1F00000000FFFF
        c = (c | (c << 16)) & 0x1F0000FF0000FF
        c = (c | (c << 8)) & 0x100F00F00F00F00F
        c = (c | (c << 4)) & 0x10C30C30C30C30C3
        c = (c | (c << 2)) & 0x1249249249249249
        code |= c << axis
    return code


def _tree(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Boxes of a full binary tree whose leaves hold _LEAF faces each; root at 1."""
    leaves = 1
    while leaves * _LEAF < len(low):
        leaves *= 2
    box_low = np.full((2 * leaves, 3), np.inf)
    box_high = np.full((2 * leaves, 3), -np.inf)
    first = np.arange(0, len(low), _LEAF)
    used = slice(leaves, leaves + len(first))
    box_low[used] = np.minimum.reduceat(low, first, axis=0)
    box_high[used] = np.maximum.reduceat(high, first, axis=0)
    size = leaves
    while size > 1:
        size //= 2
        box_low[size : 2 * size] = box_low[2 * size : 4 * size].reshape(size, 2, 3).min(axis=1)
        box_high[size : 2 * size] = box_high[2 * size : 4 * size].reshape(size, 2, 3).max(axis=1)
    return box_low, box_high


@njit(nogil=True, cache=True)
def _search(
    points: Floats, faces: Longs, low: Floats, high: Floats, box_low: Floats, box_high: Floats,
    first: int, stop: int, most: int, budget: int,
) -> tuple[Longs, int, int]:  # fmt: skip
    m = len(faces)
    leaves = len(box_low) // 2
    out = np.empty((most, 2), np.int64)
    found = 0
    met = 0
    stack = np.empty(128, np.int64)
    for i in range(first, stop):
        top = 0
        stack[0] = 1
        while top >= 0:
            node = stack[top]
            top -= 1
            apart = False
            for axis in range(3):
                if box_low[node, axis] > high[i, axis] or box_high[node, axis] < low[i, axis]:
                    apart = True
            if apart:
                continue
            if node < leaves:
                stack[top + 1] = 2 * node
                stack[top + 2] = 2 * node + 1
                top += 2
                continue
            start = (node - leaves) * _LEAF
            met += _LEAF
            for j in range(max(start, i + 1), min(start + _LEAF, m)):
                if found < most and _boxes_meet(low, high, i, j) and _cross(points, faces, i, j):
                    out[found, 0] = i
                    out[found, 1] = j
                    found += 1
        if met > budget:
            return out[:found], met, i
    return out[:found], met, stop - 1


@njit(nogil=True, cache=True)
def _boxes_meet(low: Floats, high: Floats, i: int, j: int) -> bool:
    for axis in range(3):
        if low[i, axis] > high[j, axis] or high[i, axis] < low[j, axis]:
            return False
    return True


@njit(nogil=True, cache=True)
def _cross(points: Floats, faces: Longs, i: int, j: int) -> bool:
    shared = 0
    for k in range(3):
        for s in range(3):
            if faces[i, k] == faces[j, s]:
                shared += 1
    if shared > 1:
        return False
    return _pierces(points, faces, i, j) or _pierces(points, faces, j, i)


@njit(nogil=True, cache=True)
def _pierces(points: Floats, faces: Longs, i: int, j: int) -> bool:
    """Whether an edge of face i that shares no vertex with face j goes through its inside."""
    a, b, c = faces[j, 0], faces[j, 1], faces[j, 2]
    side = np.empty(3)
    for k in range(3):
        v = faces[i, k]
        side[k] = 0.0 if v in (a, b, c) else _volume(points, a, b, c, v)
    for k in range(3):
        p, q = faces[i, k], faces[i, (k + 1) % 3]
        if side[k] * side[(k + 1) % 3] >= 0.0:
            continue
        one = _volume(points, p, q, a, b)
        two = _volume(points, p, q, b, c)
        three = _volume(points, p, q, c, a)
        if (one > 0 and two > 0 and three > 0) or (one < 0 and two < 0 and three < 0):
            return True
    return False


@njit(nogil=True, cache=True)
def _volume(points: Floats, a: int, b: int, c: int, d: int) -> float:
    ux, uy, uz = (points[a, 0] - points[d, 0], points[a, 1] - points[d, 1],
                  points[a, 2] - points[d, 2])  # fmt: skip
    vx, vy, vz = (points[b, 0] - points[d, 0], points[b, 1] - points[d, 1],
                  points[b, 2] - points[d, 2])  # fmt: skip
    wx, wy, wz = (points[c, 0] - points[d, 0], points[c, 1] - points[d, 1],
                  points[c, 2] - points[d, 2])  # fmt: skip
    one, two = vy * wz, vz * wy
    three, four = vx * wz, vz * wx
    five, six = vx * wy, vy * wx
    value = ux * (one - two) - uy * (three - four) + uz * (five - six)
    size = (
        abs(ux) * (abs(one) + abs(two))
        + abs(uy) * (abs(three) + abs(four))
        + abs(uz) * (abs(five) + abs(six))
    )
    # Below the rounding of this sum its sign says nothing: the point is taken to touch
    # (bound of Shewchuk 1997, "Adaptive precision floating-point arithmetic").
    if abs(value) <= 7.8e-16 * size:
        return 0.0
    return value
