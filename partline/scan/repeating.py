"""Faces that are there more than once: copies, walls without thickness, skins with two sides.

A triangle that is there front and back is a wall with nothing in it, or a skin that was exported
with both its sides. What tells them apart is what else meets its rim.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.scan.bodies import Shells
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import EdgeTable, Longs, Mask, joined
from partline.scan.joining import by_corners
from partline.scan.turning import agreeing, disagreeing, turned


@dataclass(frozen=True, eq=False)
class Repeated:
    """Which faces stand on the same three vertices.

    Attributes
    ----------
    copies : (m,) bool
        Faces whose three vertices a face before them has, wound the same way.
    front, back : (k,) int64
        Faces that lie back to back, pair by pair; no copy is among them.
    """

    copies: Mask
    front: Longs
    back: Longs


def repeated(faces: Longs) -> Repeated:
    """Tell which of (m, 3) faces are there twice, and which of them front and back."""
    order, alike = by_corners(faces)
    group = np.empty(len(faces), dtype=np.int64)
    group[order] = np.cumsum(np.append(True, ~alike))[: len(faces)] - 1
    count = int(group.max(initial=-1)) + 1
    even = _even(faces)
    first = np.full((2, count), len(faces), dtype=np.int64)
    for side in (0, 1):
        here = np.flatnonzero(even == bool(side))
        np.minimum.at(first[side], group[here], here)
    copies = first[even.astype(np.int64), group] != np.arange(len(faces))
    both = (first < len(faces)).all(axis=0)
    pairs = np.sort(first[:, both], axis=0)
    return Repeated(copies, pairs[0], pairs[1])


def _even(faces: Longs) -> Mask:
    """Whether each face's winding is that of its sorted vertex numbers."""
    a, b, c = faces.T
    return ((a < b) & (b < c)) | ((b < c) & (c < a)) | ((c < a) & (a < b))


def without_repeated(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Keep one of the faces on the same three vertices, or none of two that lie back to back.

    Both of such a pair go where they are a wall or a fin without thickness: an even number of
    other faces closes its rim without it. One stays where the skin would be open without it, or
    where all there is has two sides; turned as its neighbours are, or else outward.
    """
    twice = repeated(draft.faces)
    kept, flipped = _kept_once(draft, twice)
    gone = twice.copies.copy()
    gone[twice.front[~kept]] = gone[twice.back[~kept]] = True
    gone[np.where(flipped, twice.front, twice.back)[kept]] = True
    pairs = np.concatenate([twice.front[~kept], twice.back[~kept]])
    found = []
    for kind, which in (
        ("duplicate", np.flatnonzero(twice.copies)),
        ("folded", np.sort(pairs)),
        ("two-sided", np.sort(twice.front[kept])),
    ):
        if len(which):
            place = at(draft.vertices[draft.faces[which[0]]].mean(axis=0))
            found.append(Finding(kind, len(which), 0.0, place))
    if not found:
        return draft, []
    return draft.kept(~gone).compacted(), found


def _kept_once(draft: Draft, twice: Repeated) -> tuple[Mask, Mask]:
    """(k,) which pairs keep a face, and whether that is the one at the back."""
    if not len(twice.front):
        return np.zeros(0, dtype=bool), np.zeros(0, dtype=bool)
    lone = ~twice.copies
    lone[twice.front] = lone[twice.back] = False
    # What does not touch them has no say.
    touched = np.zeros(len(draft.vertices), dtype=bool)
    touched[draft.faces[twice.front]] = True
    near = np.flatnonzero(lone & touched[draft.faces].any(axis=1))
    once = np.sort(np.append(near, twice.front))
    one = Draft(draft.vertices, draft.faces[once], draft.file_faces[once])
    paired = np.isin(once, twice.front)
    stays = _needed(one, paired, alone=not lone.any())
    left = stays | ~paired
    flips = np.zeros(len(once), dtype=bool)
    flips[left] = _to_turn(one.kept(left), paired[left])
    rows = np.searchsorted(once, twice.front)
    return stays[rows], flips[rows]


def _needed(draft: Draft, paired: Mask, *, alone: bool) -> Mask:
    """(m,) which of the masked faces, each there once, must stay for the skin to be closed.

    If they are `alone` in the file, some stay.
    """
    table = draft.table
    edge = np.repeat(np.arange(len(table.counts)), table.counts)
    half = table.order
    ours = paired[half // 3]
    mine = np.bincount(edge[ours], minlength=len(table.counts))
    others = table.counts - mine
    group = _groups(table, (mine == 2) & (others == 0), paired)
    single = ours & (mine[edge] == 1)
    rim, owner = edge[single], group[half[single] // 3]
    count = int(group.max()) + 1
    odd = others[rim] % 2 == 1
    closes = np.bincount(owner[odd], minlength=count)
    crowds = np.bincount(owner[~odd & (others[rim] > 0)], minlength=count)
    stays = closes > crowds
    # What touches others at no rim of its own goes with the walls that it touches.
    cluster = _groups(table, mine >= 2, paired)
    walls = (crowds + closes > 0) & ~stays
    known = _any(cluster, (crowds + closes > 0)[group] & paired)
    with_wall = _any(cluster, walls[group] & paired)
    told = _told(draft, paired & ~known, alone=alone)
    free = (crowds + closes == 0)[group]
    result = np.where(free, np.where(known, ~with_wall, told), stays[group])
    return np.asarray(result & paired)


def _groups(table: EdgeTable, across: Mask, paired: Mask) -> Longs:
    """(m,) groups of masked faces that hang together across the (e,) masked edges."""
    here = np.flatnonzero(across)
    first = table.order[table.starts[here]] // 3
    more = [
        (first[table.counts[here] > k],
         table.order[table.starts[here[table.counts[here] > k]] + k] // 3)
        for k in range(1, int(table.counts[here].max(initial=1)))
    ]  # fmt: skip
    one = np.concatenate([pair[0] for pair in more] or [first[:0]])
    two = np.concatenate([pair[1] for pair in more] or [first[:0]])
    fit = paired[one] & paired[two]
    return joined(one[fit], two[fit], len(table.faces))


def _any(label: Longs, mask: Mask) -> Mask:
    """(m,) whether any of the faces with the same label is masked."""
    return np.bincount(label, mask)[label] > 0


def _told(draft: Draft, chosen: Mask, *, alone: bool) -> Mask:
    """(m,) whether a shell of the chosen faces goes round some volume: not so of a sheet.

    Where nothing does and they are alone, a sheet will do that is not flat.
    """
    result = np.zeros(len(chosen), dtype=bool)
    if not chosen.any():
        return result
    own, _ = agreeing(draft.kept(chosen))
    parts = Shells.of(own)
    bent = np.abs(parts.volume) > 1e-9 * draft.diagonal**3
    told = parts.is_told & bent
    result[chosen] = (bent if alone and not told.any() else told)[parts.label]
    return result


def _to_turn(draft: Draft, paired: Mask) -> Mask:
    """(m,) which masked faces to turn: as their neighbours that are not masked, or outward."""
    turn = disagreeing(draft.table, weight=(~paired).astype(np.float64)).turn & paired
    parts = Shells.of(turned(draft, turn))
    free = np.bincount(parts.label, ~paired, parts.count) == 0
    return turn ^ (free & (parts.volume < 0))[parts.label]
