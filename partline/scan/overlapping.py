"""Which bodies of a mesh share volume with others, as far as the library that joins them agrees."""

from __future__ import annotations

import numpy as np
from manifold3d import Error, Manifold

from partline.scan.bodies import SAME, as_manifold
from partline.scan.draft import Draft
from partline.scan.edges import Longs, Mask
from partline.scan.sharing import Sharing

# Faces intersected at most, over all pairs; what is left then is believed. A choice of this tool.
_MOST_FACES = 2_000_000


def closed_bodies(draft: Draft, label: Longs) -> Mask:
    """(s,) whether at each edge of a body as many faces run one way as the other."""
    table = draft.table
    uneven = np.flatnonzero(table.ahead_counts * 2 != table.counts)
    open_ones = label[table.order[table.starts[uneven]] // 3]
    return np.bincount(open_ones, minlength=int(label.max(initial=-1)) + 1) == 0


def overlapping(draft: Draft, label: Longs, shared: Sharing) -> Longs:
    """Return the bodies that lie partly in another closed one, and those they lie in.

    Bodies that only touch, but for a rounding, are not among them.
    """
    pairs = np.column_stack([shared.inner, shared.holder])[shared.parted]
    pairs = np.unique(np.sort(pairs, axis=1), axis=0)
    faces = np.bincount(label)
    solids: dict[int, Manifold] = {}
    found: set[int] = set()
    left = _MOST_FACES
    for one, two in pairs.tolist():
        if {one, two} <= found:
            continue
        left -= int(faces[one] + faces[two])
        if left < 0 or _meet(*(_solid(draft, label, body, solids) for body in (one, two))):
            found |= {one, two}
    return np.array(sorted(found), dtype=np.int64)


def _solid(draft: Draft, label: Longs, body: int, solids: dict[int, Manifold]) -> Manifold:
    if body not in solids:
        own = draft.kept(label == body).compacted()
        if own.face_volumes().sum() < 0:
            own = Draft(own.vertices, own.faces[:, ::-1], own.file_faces)
        solids[body] = as_manifold(own)
    return solids[body]


def _meet(one: Manifold, two: Manifold) -> bool:
    """Whether two solids share more than a rounding; so it is said of what the library refuses."""
    if one.status() != Error.NoError or two.status() != Error.NoError:
        return True
    common = one ^ two
    return bool(common.volume() > SAME * min(one.volume(), two.volume()))
