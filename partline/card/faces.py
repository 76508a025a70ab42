"""Which face of the block the blade enters: the side wall, or the far face over the floor."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from partline.card.block import Block
from partline.card.clear import clear_of
from partline.card.cutting_card import Strokes
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats

_ROUNDS = 50
_NONE = np.zeros(0, dtype=np.int32)


def on_far_face(block: Block, points: Floats) -> np.ndarray:
    """Return (k,) bool: points on the outside that lie on the far face."""
    return np.asarray(points[:, 2] > block.height_mm - 1e-6)


def by_face(block: Block, rays: Rays, strokes: Strokes) -> tuple[tuple[str, Strokes], ...]:
    """Return strokes in stretches that enter one face each: ("side" or "far face", strokes).

    Where a cut goes on round the edge, one more stroke ends on the edge itself and belongs to
    both stretches.
    """
    far = on_far_face(block, strokes.ends)
    turns = np.flatnonzero(np.diff(far))
    bounds = [0, *(int(t) + 1 for t in turns), len(far)]
    edges = {
        int(t) + 1: _edge(block, rays, strokes, int(t)) for t in turns if t not in strokes.splits
    }
    found = []
    for start, stop in pairwise(bounds):
        before, after = edges.get(start), edges.get(stop)
        part = _padded(strokes, start, stop, before, after)
        found.append(("far face" if far[start] else "side", part))
    return tuple(found)


def _padded(
    strokes: Strokes, start: int, stop: int, before: Strokes | None, after: Strokes | None
) -> Strokes:
    rows = slice(start, stop)
    own = Strokes(
        strokes.feet[rows], strokes.ends[rows], strokes.clear[rows], strokes.pit[rows], _NONE
    )
    parts = [part for part in (before, own, after) if part is not None]
    splits = strokes.splits[(strokes.splits >= start) & (strokes.splits < stop - 1)] - start
    return Strokes(
        feet=np.vstack([part.feet for part in parts]),
        ends=np.vstack([part.ends for part in parts]),
        clear=np.concatenate([part.clear for part in parts]),
        pit=np.concatenate([part.pit for part in parts]),
        splits=(splits + (before is not None)).astype(np.int32),
    )


def _edge(block: Block, rays: Rays, strokes: Strokes, k: int) -> Strokes:
    """Return the one stroke between two that comes out on the far face's edge."""
    ways = strokes.ends[k : k + 2] - strokes.feet[k : k + 2]
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-12)
    first = bool(on_far_face(block, strokes.ends[k : k + 1])[0])
    low, high = 0.0, 1.0
    for _ in range(_ROUNDS):
        share = (low + high) / 2
        foot = (1 - share) * strokes.feet[k : k + 1] + share * strokes.feet[k + 1 : k + 2]
        way = (1 - share) * ways[:1] + share * ways[1:]
        end = foot + block.exits(foot, way)[:, None] * way
        if bool(on_far_face(block, end)[0]) == first:
            low = share
        else:
            high = share
    end[0, 2] = block.height_mm
    pit = np.array([strokes.pit[k : k + 2].any()])
    return Strokes(foot, end, clear_of(rays, foot, end), pit, _NONE)


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
