"""Part the sheets that touch along an edge or at a vertex, so that each vertex is one fan."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import EdgeTable, Longs, after, fans

# How often doubled edges are split; a face is split once in each round.
ROUNDS = 6


def untangled(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Pair the faces at crowded edges, then give every fan of faces a vertex of its own.

    Nothing moves. Where more than two faces meet, each is paired with its neighbour across
    the solid side; a face left over keeps an open edge, which the holes tell of. Two sheets
    that still share both ends get a new vertex in the middle of one of them.
    """
    table = draft.table
    crowded = np.flatnonzero(table.counts > 2)
    if not len(crowded):
        draft, pinched = _fans_parted(draft, table.twins)
        found = [Finding("pinch", len(pinched), 0.0, at(pinched[0]))] if len(pinched) else []
        return draft, found
    ends = draft.vertices[table.edges[crowded]]
    length = np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)
    worst = int(np.argmax(length))
    place = at(ends[worst].mean(axis=0))
    for _ in range(ROUNDS):
        twins = paired(draft, table, np.flatnonzero(table.counts > 2))
        draft, _ = _fans_parted(draft, twins)
        draft, more = _doubled_split(draft, twins)
        table = draft.table
        if not more:
            break
    return draft, [Finding("crowded edge", len(crowded), float(length[worst]), place)]


def paired(draft: Draft, table: EdgeTable, crowded: Longs) -> Longs:
    """Return the twins of all half-edges, with crowded edges paired by angle."""
    twins = table.twins.copy()
    for edge in crowded:
        halves = table.halves(int(edge))
        for one, two in _pairs_round(draft, table, halves):
            twins[one], twins[two] = two, one
    return twins


def _pairs_round(draft: Draft, table: EdgeTable, halves: Longs) -> list[tuple[int, int]]:
    """Pair half-edges that run opposite ways, across the thinnest solid wedge first."""
    ahead = table.ahead[halves]
    if ahead.all() or not ahead.any():
        return []
    # Seen along the edge, the solid of a face that runs ahead lies clockwise of it. The thinnest
    # wedge first is the same as brackets: each face that runs back opens one, and the next that
    # runs ahead closes it; two rounds, as a wedge may lie across the start.
    order = np.lexsort((ahead, _angles(draft, table, halves)))
    opened: list[int] = []
    taken: set[int] = set()
    pairs = []
    for i in [*order.tolist(), *order.tolist()]:
        if i in taken:
            continue
        if not ahead[i]:
            opened.append(i)
            continue
        while opened and opened[-1] in taken:
            opened.pop()
        if opened:
            j = opened.pop()
            taken |= {i, j}
            pairs.append((int(halves[i]), int(halves[j])))
    return pairs


def _angles(draft: Draft, table: EdgeTable, halves: Longs) -> Floats:
    """Angle of each face round the edge, seen from its larger vertex towards the smaller."""
    ends = np.sort([table.start_of(halves[:1])[0], table.stop_of(halves[:1])[0]])
    base = draft.vertices[ends[0]]
    axis = draft.vertices[ends[1]] - base
    axis = axis / max(float(np.linalg.norm(axis)), 1e-300)
    out = draft.vertices[table.stop_of(after(halves))] - base
    out = out - np.outer(out @ axis, axis)
    right = out[0] / max(float(np.linalg.norm(out[0])), 1e-300)
    return np.arctan2(out @ np.cross(axis, right), out @ right)


def _fans_parted(draft: Draft, twins: Longs) -> tuple[Draft, Floats]:
    """Give every fan its own vertex; return the draft and the places that were parted."""
    corner = draft.faces.ravel()
    if not len(corner):
        return draft, draft.vertices[:0]
    fan = fans(twins)
    first = np.full(int(fan.max()) + 1, len(corner), dtype=np.int64)
    np.minimum.at(first, fan, np.arange(len(corner)))
    owner = corner[first]
    copies = np.bincount(owner, minlength=len(draft.vertices))
    parted = draft.vertices[copies > 1]
    if not len(parted):
        return draft, parted
    return Draft(draft.vertices[owner], fan.reshape(-1, 3), draft.file_faces), parted


def _doubled_split(draft: Draft, twins: Longs) -> tuple[Draft, bool]:
    """Put a vertex in the middle of all but one of the sheets that share both ends of an edge."""
    table = draft.table
    vertices, faces = list(draft.vertices), draft.faces.copy()
    extra_faces: list[Longs] = []
    extra_numbers: list[int] = []
    touched: set[int] = set()
    for edge in np.flatnonzero(table.counts > 2):
        ends = table.edges[edge]
        for sheet in _sheets(table.halves(int(edge)), twins)[1:]:
            if {half // 3 for half in sheet} & touched:
                continue  # a face is split once in each round
            touched |= {half // 3 for half in sheet}
            middle = len(vertices)
            vertices.append(0.5 * (vertices[ends[0]] + vertices[ends[1]]))
            for half in sheet:
                face, k = divmod(half, 3)
                second = faces[face].copy()
                second[k] = middle
                faces[face, (k + 1) % 3] = middle
                extra_faces.append(second)
                extra_numbers.append(int(draft.file_faces[face]))
    if not extra_faces:
        return draft, False
    numbers = np.concatenate([draft.file_faces, extra_numbers])
    return Draft(np.array(vertices), np.vstack([faces, extra_faces]), numbers), True


def _sheets(halves: Longs, twins: Longs) -> list[tuple[int, ...]]:
    """The pairs of half-edges at one edge first, then the single ones."""
    pairs = [(int(h), int(twins[h])) for h in halves if twins[h] > h]
    return pairs + [(int(h),) for h in halves if twins[h] < 0]
