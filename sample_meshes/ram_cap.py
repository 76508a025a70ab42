"""The ram's nightcap: knitted, with a ribbed hem, folded over, its tassel hanging clear."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from distance_shapes import Floats, Spine, apply_near, ellipsoid, spine, union
from ram_shape import SKULL_CENTRE, SKULL_RADII, hem_height, parts, plain_head

TASSEL_KNOT = np.array([19.9, -0.9, 49.9])
TASSEL_LENGTH = 5.4


@lru_cache(maxsize=1)
def _thread() -> Spine:
    """The cap's middle line from deep inside the skull to the tassel, to count stitches by."""
    tail = parts()["tail"]
    start = np.array([[0, 3.0, 30.0, 12.0], [0, 3.1, 37.0, 12.0]])
    step = 16
    knots = np.column_stack([tail.points[::step], tail.radii[::step]])
    return spine(np.vstack([start, knots]))


def stitches(points: Floats) -> Floats:
    """Height of the knitting, stocking stitch: columns of small v's [mm].

    It is lower where the yarn would be finer than the mesh can show: round the thin end and in
    the inner side of the fold.
    """
    thread = _thread()
    _, along, turn = thread.nearest(points)
    radius = np.interp(along, thread.along, thread.radii)
    height = np.zeros(len(points))
    for columns, share in ((14, _above(radius, 5.2)), (7, 1 - _above(radius, 5.2))):
        leg = np.abs(2 * ((turn / (2 * np.pi) * columns) % 1.0) - 1)  # 0 in a column's middle
        slanted = 0.5 + 0.5 * np.cos(2 * np.pi * (along / 2.9 + 0.5 * leg))
        rounded = 0.5 - 0.5 * np.cos(2 * np.pi * leg)
        fine = np.clip(np.pi * radius / columns / 2.0, 0, 1)
        height += share * fine * rounded * (0.25 + 0.75 * slanted)
    bend = np.gradient(np.gradient(thread.points, thread.along, axis=0), thread.along, axis=0)
    middle, inward = (
        np.column_stack([np.interp(along, thread.along, table[:, k]) for k in range(3)])
        for table in (thread.points, bend)
    )
    stretch = 1 - np.einsum("ij,ij->i", points - middle, inward)
    return 0.62 * height * np.clip(stretch, 0, 1)


def _above(radius: Floats, limit: float) -> Floats:
    return np.clip((radius - limit) / 0.6 + 0.5, 0, 1)


def hem(points: Floats) -> Floats:
    """The rolled cuff with its ribs."""
    out = ellipsoid(points, SKULL_CENTRE, SKULL_RADII) - 0.8
    up = points[:, 2] - hem_height(points) - 2.3
    turn = np.arctan2(points[:, 1] - SKULL_CENTRE[1], points[:, 0] * 1.2)
    ribs = 0.24 * np.sqrt(0.5 + 0.5 * np.cos(44 * turn))
    half = np.abs(np.column_stack([out, up])) - np.array([0.5, 1.2])
    box = np.hypot(*np.maximum(half, 0).T) + np.minimum(half.max(axis=1), 0)
    return box - 1.1 - ribs


def tassel(points: Floats) -> Floats:
    """A knot and a skirt of threads."""
    knot = ellipsoid(points, TASSEL_KNOT, [2.3, 2.3, 2.0])
    local = points - TASSEL_KNOT
    share = np.clip(-local[:, 2] / TASSEL_LENGTH, 0, 1)
    turn = np.arctan2(local[:, 1], local[:, 0])
    wide = 1.5 + 1.5 * share**0.8
    threads = 0.22 * share * np.cos(9 * turn)
    side = np.hypot(local[:, 0], local[:, 1]) - wide - threads
    ends = np.abs(local[:, 2] + TASSEL_LENGTH / 2) - TASSEL_LENGTH / 2
    skirt = (
        np.hypot(np.maximum(side + 0.5, 0), np.maximum(ends + 0.5, 0))
        + np.minimum(np.maximum(side, ends) + 0.5, 0)
        - 0.5
    )
    return union(knot, skirt, 0.6)


def cap(points: Floats) -> Floats:
    """The knitted cap with hem and tassel."""
    shell = ellipsoid(points, SKULL_CENTRE, SKULL_RADII + 0.9)
    shell = np.maximum(shell, hem_height(points) + 2.0 - points[:, 2])
    tail = parts()["tail"]
    level = union(shell, tail.solid(points), 3.0)
    near = np.abs(level) < 2.5
    if near.any():
        level[near] -= stitches(points[near])
    level = union(level, hem(points), 0.6)
    box = np.add(TASSEL_KNOT, [[-4, -4, -7], [4, 4, 3]])
    apply_near(level, points, box, 0.5, lambda d, p: union(d, tassel(p), 0.6))
    return level


def ram(points: Floats) -> Floats:
    """Signed distance of the whole ram; it goes on below z = 0, where the mesh is cut."""
    level = plain_head(points)
    box = [[-18, -18, 36], [26, 22, 66]]
    apply_near(level, points, box, 1.0, lambda d, p: union(d, cap(p), 0.6))
    return level
