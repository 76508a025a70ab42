"""Which faces of a small mesh touch or pierce each other, in exact fractions."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np

from partline.scan.draft import Draft

Point = list[Fraction]


def contacts(draft: Draft) -> tuple[int, int]:
    """Return (pairs of faces that touch or pierce, faces of which one pierces the other's inside).

    An edge counts that meets a face, no corner being shared with it; faces that share two corners
    and what lies in one plane are left out.
    """
    points = [[Fraction(float(x)) for x in p] for p in draft.vertices]
    faces = draft.faces
    low, high = draft.vertices[faces].min(axis=1), draft.vertices[faces].max(axis=1)
    pairs, pierced = 0, set()
    for i in range(len(faces)):
        near = (low[i] <= high[i + 1 :]).all(axis=1) & (high[i] >= low[i + 1 :]).all(axis=1)
        for j in (np.flatnonzero(near) + i + 1).tolist():
            found = max(_met(points, faces[i], faces[j]), _met(points, faces[j], faces[i]))
            pairs += found > 0
            if found == 2:
                pierced |= {i, j}
    return pairs, len(pierced)


def _met(points: list[Point], one: np.ndarray, two: np.ndarray) -> int:
    """0 where no edge of one meets the face two, 1 where it touches, 2 where it pierces."""
    shared = set(one) & set(two)
    if len(shared) > 1:
        return 0
    corners = [points[k] for k in two]
    edges = pairwise([*one, one[0]])
    return max(_edge(points[p], points[q], corners) for p, q in edges if not {p, q} & shared)


def _edge(p: Point, q: Point, corners: list[Point]) -> int:
    start, stop = _side(*corners, p), _side(*corners, q)
    if start == stop:
        return 0
    turns = [_side(p, q, a, b) for a, b in pairwise([*corners, corners[0]])]
    if 1 in turns and -1 in turns:
        return 0
    return 2 if start * stop < 0 and 0 not in turns else 1


def _side(a: Point, b: Point, c: Point, d: Point) -> int:
    """On which side of a plane through three points the fourth lies."""
    (ux, uy, uz), (vx, vy, vz), (wx, wy, wz) = (
        [x - y for x, y in zip(p, d, strict=True)] for p in (a, b, c)
    )
    value = ux * (vy * wz - vz * wy) - uy * (vx * wz - vz * wx) + uz * (vx * wy - vy * wx)
    return (value > 0) - (value < 0)
