"""Which bodies of a mesh lie wholly inside others, and which share only a part with them.

Judged by the winding numbers of one body's points in the other, both ways: edges that pierce
faces tell nothing where bodies meet in a common plane or are mirror images.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft
from partline.scan.edges import Longs, Mask
from partline.scan.nesting import boxes, holders
from partline.scan.winding import dipoles, winding_numbers

# Points are tried just under a body's skin, by this share of the diagonal, so that none lies on a
# skin that two bodies have in common; and off the edges by that share of the way to the middle.
_UNDER, _OFF = 1e-6, 1e-3
# Points tried of one body against another, and of all together: choices of this tool.
_MOST_EACH, _MOST = 20_000, 400_000
# A body that reaches no further out of another than this share of its points is a hollow in it
# that broke through.
MOST_OUT = 0.005


@dataclass(frozen=True, eq=False)
class Sharing:
    """Pairs of closed bodies whose boxes meet.

    Attributes
    ----------
    inner, holder : (k,) int64
        Numbers of the two bodies; each pair is there both ways.
    inside, outside : (k,) int64
        How many points just under the skin of the inner one lie in the other, and how many out.
    held_by : list of list of int
        For each body, open ones too, the bodies that hold all of it, but for `MOST_OUT`.
    """

    inner: Longs
    holder: Longs
    inside: Longs
    outside: Longs
    held_by: list[list[int]]

    @property
    def parted(self) -> Mask:
        """(k,) whether the inner body lies partly in the other, and does not hold all of that."""
        holds = np.array([i in self.held_by[h] for i, h in self.pairs], dtype=bool)
        return (self.inside > 0) & (self.outside > 0) & ~holds

    @property
    def pairs(self) -> list[tuple[int, int]]:
        """Inner body and holder of each pair."""
        return list(zip(self.inner.tolist(), self.holder.tolist(), strict=True))


def sharing(draft: Draft, label: Longs, is_closed: Mask, asked: Longs | None = None) -> Sharing:
    """Try every body in every other one.

    Parameters
    ----------
    draft : Draft
    label : (m,) int64
        Body of each face.
    is_closed : (s,) bool
        Whether each body is closed. An open one is judged by one of its points, and so is what
        may lie in it.
    asked : (j,) int64, optional
        Only of these bodies is it worked out what they lie in.
    """
    held_by = holders(draft, label, asked)
    none = np.zeros(0, dtype=np.int64)
    low, high = boxes(draft, label)
    pairs = _meeting(low, high, is_closed)
    if asked is not None:
        pairs = pairs[np.isin(pairs[:, 0], asked)]
    if not len(pairs):
        return Sharing(none, none, none, none, held_by)
    each = min(_MOST_EACH, max(8, _MOST // max(len(pairs), 1)))
    order = np.argsort(label, kind="stable")
    starts = np.searchsorted(label[order], np.arange(len(is_closed) + 1))
    own = [draft.faces[order[starts[k] : starts[k + 1]]] for k in range(len(is_closed))]
    inside, outside = np.zeros(len(pairs), dtype=np.int64), np.zeros(len(pairs), dtype=np.int64)
    under = _UNDER * draft.diagonal * np.sign(np.bincount(label, draft.face_volumes()))
    tried = {int(k): _points(draft.vertices, own[k], under[k], each) for k in np.unique(pairs)}
    first = np.flatnonzero(np.diff(pairs[:, 1], prepend=-1))
    for start, stop in zip(first, np.append(first[1:], len(pairs)), strict=True):
        inner, holder = pairs[start:stop, 0].tolist(), int(pairs[start, 1])
        points = np.vstack([tried[k] for k in inner])
        owner = np.repeat(np.arange(start, stop), [len(tried[k]) for k in inner])
        near = ((points > low[holder]) & (points < high[holder])).all(axis=1)
        number = np.zeros(len(points))
        if near.any():
            field = dipoles(draft.vertices, own[holder])
            number[near] = np.abs(winding_numbers(field, points[near]))
        inside += np.bincount(owner[number > 0.5], minlength=len(pairs))
        outside += np.bincount(owner[number <= 0.5], minlength=len(pairs))
    whole = (inside > 0) & (outside <= MOST_OUT * (inside + outside))
    both = [[k for k in held if not (is_closed[k] and is_closed[shell])]
            for shell, held in enumerate(held_by)]  # fmt: skip
    for inner, holder in pairs[whole].tolist():
        both[inner].append(holder)
    return Sharing(pairs[:, 0], pairs[:, 1], inside, outside, both)


def _meeting(low: Floats, high: Floats, is_closed: Mask) -> Longs:
    """(k, 2) pairs of closed bodies whose boxes share volume, each both ways, by the second."""
    order = np.flatnonzero(is_closed)
    order = order[np.argsort(low[order, 0], kind="stable")]
    low, high = low[order], high[order]
    last = np.searchsorted(low[:, 0], high[:, 0])
    found = []
    for k in range(len(order)):
        later = slice(k + 1, int(last[k]))
        meet = ((low[later] < high[k]) & (high[later] > low[k])).all(axis=1)
        found.append(np.column_stack([order[later][meet], np.full(int(meet.sum()), order[k])]))
    one = np.vstack(found) if found else np.zeros((0, 2), dtype=np.int64)
    pairs = np.vstack([one, one[:, ::-1]])
    return pairs[np.lexsort((pairs[:, 0], pairs[:, 1]))]


def _points(vertices: Floats, faces: Longs, under: float, most: int) -> Floats:
    """Points so far under corners, edges and middles of a body's faces: so many of them, evenly."""
    faces = faces[:: 7 * len(faces) // most + 1]
    corners = vertices[faces]
    middle = corners.mean(axis=1, keepdims=True)
    edges = 0.5 * (corners + corners[:, [1, 2, 0]])
    out = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    out /= np.maximum(np.linalg.norm(out, axis=1), 1e-300)[:, None]
    tried = np.concatenate([middle, corners, edges], axis=1)
    return np.asarray(tried + _OFF * (middle - tried) - under * out[:, None]).reshape(-1, 3)
