"""A tree of boxes, and what meets in it: sorted along a space-filling curve (Morton 1966)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.geometry.surface import Floats
from partline.scan.edges import Longs, Mask

LEAF = 4


class Boxes(NamedTuple):
    """Boxes in the order of the tree over them.

    Attributes
    ----------
    order : (m,) int64
        Number of each box as it was given.
    low, high : (m, 3) float64
        Least and greatest corner of each, in that order.
    node_low, node_high : (2p, 3) float64
        Of each node of a full binary tree whose leaves hold LEAF boxes each; root at 1.
    """

    order: Longs
    low: Floats
    high: Floats
    node_low: Floats
    node_high: Floats


def tree_of(low: Floats, high: Floats) -> Boxes:
    """Return the tree over (m, 3) least and greatest corners of boxes; at least one."""
    order = np.argsort(_curve(0.5 * (low + high)), kind="stable")
    low, high = low[order], high[order]
    return Boxes(order, low, high, *_nodes(low, high))


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


def _nodes(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    leaves = 1
    while leaves * LEAF < len(low):
        leaves *= 2
    node_low = np.full((2 * leaves, 3), np.inf)
    node_high = np.full((2 * leaves, 3), -np.inf)
    first = np.arange(0, len(low), LEAF)
    used = slice(leaves, leaves + len(first))
    node_low[used] = np.minimum.reduceat(low, first, axis=0)
    node_high[used] = np.maximum.reduceat(high, first, axis=0)
    size = leaves
    while size > 1:
        size //= 2
        node_low[size : 2 * size] = node_low[2 * size : 4 * size].reshape(size, 2, 3).min(axis=1)
        node_high[size : 2 * size] = node_high[2 * size : 4 * size].reshape(size, 2, 3).max(axis=1)
    return node_low, node_high


def meeting(boxes: Boxes, low: Floats, high: Floats) -> Mask:
    """(k,) whether each of other boxes, given by their (k, 3) corners, meets any in the tree."""
    found: Mask = _meeting(boxes, np.ascontiguousarray(low), np.ascontiguousarray(high))
    return found


def holding(boxes: Boxes, points: Floats, most: int) -> Longs | None:
    """(q, 2) box and point, for every one of (k, 3) points and box with it inside, not on a side.

    None where there are more than `most`.
    """
    points = np.ascontiguousarray(points)
    room = np.empty((min(most, 64 + 8 * len(points)), 2), dtype=np.int64)
    count = int(_holding(boxes, points, room, most))
    if count > most:
        return None
    if count > len(room):
        room = np.empty((count, 2), dtype=np.int64)
        _holding(boxes, points, room, most)
    room = room[:count]
    return np.column_stack([boxes.order[room[:, 0]], room[:, 1]])


@njit(nogil=True, cache=True)
def _meeting(boxes, low, high):  # type: ignore[no-untyped-def]
    leaves = len(boxes.node_low) // 2
    found = np.zeros(len(low), dtype=np.bool_)
    stack = np.empty(128, np.int64)
    for k in range(len(low)):
        top = 0
        stack[0] = 1
        while top >= 0 and not found[k]:
            node = stack[top]
            top -= 1
            if not _meet(boxes.node_low[node], boxes.node_high[node], low[k], high[k]):
                continue
            if node < leaves:
                stack[top + 1] = 2 * node
                stack[top + 2] = 2 * node + 1
                top += 2
                continue
            start = (node - leaves) * LEAF
            for j in range(start, min(start + LEAF, len(boxes.low))):
                if _meet(boxes.low[j], boxes.high[j], low[k], high[k]):
                    found[k] = True
    return found


@njit(nogil=True, cache=True)
def _meet(low, high, other_low, other_high):  # type: ignore[no-untyped-def]
    for axis in range(3):
        if low[axis] > other_high[axis] or high[axis] < other_low[axis]:
            return False
    return True


@njit(nogil=True, cache=True)
def _holding(boxes, points, out, most):  # type: ignore[no-untyped-def]
    leaves = len(boxes.node_low) // 2
    count = 0
    stack = np.empty(128, np.int64)
    for k in range(len(points)):
        top = 0
        stack[0] = 1
        while top >= 0:
            node = stack[top]
            top -= 1
            if not _within(boxes.node_low[node], boxes.node_high[node], points[k]):
                continue
            if node < leaves:
                stack[top + 1] = 2 * node
                stack[top + 2] = 2 * node + 1
                top += 2
                continue
            start = (node - leaves) * LEAF
            for j in range(start, min(start + LEAF, len(boxes.low))):
                if _within(boxes.low[j], boxes.high[j], points[k]):
                    if count < len(out):
                        out[count, 0] = j
                        out[count, 1] = k
                    count += 1
        if count > most:
            return count
    return count


@njit(nogil=True, cache=True)
def _within(low, high, point):  # type: ignore[no-untyped-def]
    return (
        low[0] < point[0] < high[0] and low[1] < point[1] < high[1] and low[2] < point[2] < high[2]
    )
