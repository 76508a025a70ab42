"""Which face of the block the blade enters: the side wall, or the far face over the floor."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from partline.card.block import Block
from partline.card.cutting_card import Strokes
from partline.geometry.surface import Floats

_ROUNDS = 50


def on_far_face(block: Block, points: Floats) -> np.ndarray:
    """Return (k,) bool: points on the outside that lie on the far face."""
    return np.asarray(points[:, 2] > block.height_mm - 1e-6)


def by_face(block: Block, strokes: Strokes) -> tuple[tuple[str, Strokes], ...]:
    """Return strokes in stretches that enter one face each: ("side" or "far face", strokes).

    Where a cut goes on round the edge, one more stroke ends on the edge itself and belongs to
    both stretches.
    """
    far = on_far_face(block, strokes.ends)
    turns = np.flatnonzero(np.diff(far))
    bounds = [0, *(int(t) + 1 for t in turns), len(far)]
    edges = {int(t) + 1: _edge(block, strokes, int(t)) for t in turns if t not in strokes.splits}
    found = []
    for start, stop in pairwise(bounds):
        before, after = edges.get(start), edges.get(stop)
        part = _padded(strokes, start, stop, before, after)
        found.append(("far face" if far[start] else "side", part))
    return tuple(found)


def _padded(
    strokes: Strokes,
    start: int,
    stop: int,
    before: tuple[Floats, Floats] | None,
    after: tuple[Floats, Floats] | None,
) -> Strokes:
    rows = np.arange(start, stop)
    feet, ends = strokes.feet[rows], strokes.ends[rows]
    splits = strokes.splits[(strokes.splits >= start) & (strokes.splits < stop - 1)] - start
    if before is not None:
        feet, ends = np.vstack([before[0], feet]), np.vstack([before[1], ends])
        rows, splits = np.append(start, rows), splits + 1
    if after is not None:
        feet, ends = np.vstack([feet, after[0]]), np.vstack([ends, after[1]])
        rows = np.append(rows, stop - 1)
    return Strokes(feet, ends, strokes.clear[rows], strokes.pit[rows], splits.astype(np.int32))


def _edge(block: Block, strokes: Strokes, k: int) -> tuple[Floats, Floats]:
    """Return the foot and end of the stroke between two that comes out on the far face's edge."""
    ways = strokes.ends[k : k + 2] - strokes.feet[k : k + 2]
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-12)
    first = bool(on_far_face(block, strokes.ends[k : k + 1])[0])
    low, high = 0.0, 1.0
    for _ in range(_ROUNDS):
        share = (low + high) / 2
        foot = (1 - share) * strokes.feet[k] + share * strokes.feet[k + 1]
        way = (1 - share) * ways[0] + share * ways[1]
        end = foot + float(block.exits(foot[None], way[None])[0]) * way
        if bool(on_far_face(block, end[None])[0]) == first:
            low = share
        else:
            high = share
    return foot, np.array([end[0], end[1], block.height_mm])


def shared_out(
    stops: tuple[tuple[str, tuple[float, float, float]], ...],
    parts: tuple[tuple[str, Strokes], ...],
    block: Block,
) -> tuple[dict[str, Floats], ...]:
    """Return for each stretch the stops that lie on it, as places on the outside [mm]."""
    found: tuple[dict[str, Floats], ...] = tuple({} for _ in parts)
    for words, place in stops:
        at = np.array(place)
        face = "far face" if on_far_face(block, at[None])[0] else "side"
        away = [
            float(np.linalg.norm(part.ends - at, axis=1).min()) + (1e6 if which != face else 0.0)
            for which, part in parts
        ]
        found[int(np.argmin(away))][words] = at
    return found
