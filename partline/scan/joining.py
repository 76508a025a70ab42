"""Join the vertices that a file keeps apart along seams; drop faces that are nothing."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from partline.geometry.surface import Floats
from partline.scan.draft import Draft, Finding, at
from partline.scan.edges import Longs, Mask, joined

# Vertices along an open seam are joined up to this share of the diagonal ...
SEAM_SHARE = 1e-5
# ... and never further than this share of the shortest open edge at either of them, so that
# no edge can collapse.
EDGE_SHARE = 0.1
# Where a vertex has this many others so near, on average, they are a mesh of its own smallness.
_MOST_NEAR = 40


def seams_joined(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Join vertices at exactly one place.

    Every triangle of an STL file has its own three vertices: that is the format, not a fault,
    and is not listed.
    """
    soup = len(draft.vertices) == 3 * len(draft.faces)
    same = first_at_same_place(draft.vertices)
    used = np.zeros(len(draft.vertices), dtype=bool)
    used[draft.faces.ravel()] = True
    moved = np.flatnonzero(used & (same != np.arange(len(same))))
    found = []
    if len(moved) and not soup:
        place = at(draft.vertices[moved[0]])
        found.append(Finding("seam", len(moved), 0.0, place))
    return Draft(draft.vertices, same[draft.faces], draft.file_faces).compacted(), found


def first_at_same_place(vertices: Floats) -> Longs:
    """(n,) number of the first vertex at exactly the same place."""
    # Adding zero turns -0.0 into 0.0, which compare equal but differ in their bits.
    bits = np.ascontiguousarray(vertices + 0.0).view(np.uint64)
    mixed = bits[:, 0] * np.uint64(0x9E3779B97F4A7C15)
    mixed = (mixed ^ (mixed >> np.uint64(29)) ^ bits[:, 1]) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(32)) ^ bits[:, 2]) * np.uint64(0x94D049BB133111EB)
    order = np.argsort(mixed, kind="stable")
    alike = (bits[order[1:]] == bits[order[:-1]]).all(axis=1)
    if ((mixed[order[1:]] == mixed[order[:-1]]) & ~alike).any():
        # Two places share a hash: sort by the coordinates themselves.
        order = np.lexsort(bits.T)
        alike = (bits[order[1:]] == bits[order[:-1]]).all(axis=1)
    group = np.concatenate([[0], np.cumsum(~alike)])
    first = np.full(int(group[-1]) + 1, len(vertices), dtype=np.int64)
    np.minimum.at(first, group, order)
    result = np.empty(len(vertices), dtype=np.int64)
    result[order] = first[group]
    return result


def gaps_joined(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Join vertices of open edges that lie a rounding apart, if that closes edges."""
    table = draft.table
    single = table.edges[table.counts == 1]
    if not len(single):
        return draft, []
    points = draft.vertices
    length = np.linalg.norm(points[single[:, 0]] - points[single[:, 1]], axis=1)
    reach = np.full(len(points), np.inf)
    for column in range(2):
        np.minimum.at(reach, single[:, column], EDGE_SHARE * length)
    rim = np.unique(single)
    tree, within = cKDTree(points[rim]), SEAM_SHARE * draft.diagonal
    some = rim[:: max(1, len(rim) // 1000)]
    if tree.count_neighbors(cKDTree(points[some]), within) > _MOST_NEAR * len(some):
        return draft, []
    pairs = tree.query_pairs(within, output_type="ndarray")
    first, second = rim[pairs[:, 0]], rim[pairs[:, 1]]
    gap = np.linalg.norm(points[first] - points[second], axis=1)
    close = gap <= np.minimum(reach[first], reach[second])
    first, second, gap = first[close], second[close], gap[close]
    if not len(first):
        return draft, []
    label = joined(first, second, len(points))
    keep = np.full(int(label.max()) + 1, len(points), dtype=np.int64)
    np.minimum.at(keep, label, np.arange(len(points)))
    after = Draft(points, keep[label][draft.faces], draft.file_faces)
    again = after.table
    worse = (again.counts > 2).sum() > (table.counts > 2).sum()
    if worse or (again.counts == 1).sum() >= len(single):
        return draft, []
    place = at(points[first[int(np.argmax(gap))]])
    return after.compacted(), [Finding("gap", len(first), float(gap.max()), place)]


def without_degenerate(draft: Draft) -> tuple[Draft, list[Finding]]:
    """Drop faces that name a vertex twice; their edges cancel, so nothing opens.

    A face whose three vertices lie in a line is kept: it holds its neighbours together.
    """
    bad = _names_twice(draft.faces)
    if not bad.any():
        return draft, []
    place = at(draft.vertices[draft.faces[int(np.argmax(bad)), 0]])
    return draft.kept(~bad).compacted(), [Finding("degenerate", int(bad.sum()), 0.0, place)]


def _names_twice(faces: Longs) -> np.ndarray:
    a, b, c = faces.T
    return (a == b) | (b == c) | (c == a)


def repeats(faces: Longs) -> Longs:
    """Return the faces that have the three vertices of a face before them."""
    order, alike = by_corners(faces)
    return np.sort(order[1:][alike])


def by_corners(faces: Longs) -> tuple[Longs, Mask]:
    """Order the faces by their vertices; tell where one has the same as that before it."""
    ordered = np.sort(faces, axis=1)
    n = int(faces.max()) + 1 if len(faces) else 1
    key = ordered[:, 0] * n + ordered[:, 1]
    order = np.argsort(key, kind="stable")
    if (np.diff(key[order]) == 0).any():
        order = np.lexsort((ordered[:, 2], key))
    return order, (np.diff(key[order]) == 0) & (np.diff(ordered[order, 2]) == 0)
