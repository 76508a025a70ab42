"""Faces that pass through each other."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.cores import in_parts
from partline.geometry.surface import Floats
from partline.progress import Progress, silent
from partline.scan.box_tree import LEAF, tree_of
from partline.scan.draft import Draft, at
from partline.scan.edges import Longs
from partline.scan.joining import first_at_same_place
from partline.scan.surface_like import MEETINGS_EACH, MEETINGS_FREE, heap_of

_AT_A_TIME = 50_000


def crossing_pairs(draft: Draft, *, most: int = 200_000, progress: Progress = silent) -> Longs:
    """Return (k, 2) pairs of faces of which an edge of one pierces the inside of the other.

    Faces that only touch, that share an edge, or that lie in one plane are not counted. A tree
    of boxes over the faces finds the candidates.

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
    order, low, high, box_low, box_high = tree_of(low, high)
    sorted_faces = faces[order]
    found: list[Longs] = []
    budget = MEETINGS_FREE + MEETINGS_EACH * len(faces)
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
            raise heap_of(at(draft.vertices[sorted_faces[last]].mean(axis=0)))
    return np.sort(order[np.vstack(found)[:most]], axis=1)


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
            start = (node - leaves) * LEAF
            met += LEAF
            for j in range(max(start, i + 1), min(start + LEAF, m)):
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
