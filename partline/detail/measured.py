"""The mesh that detail is measured on: the piece without edges too short to show anything."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Ints, Surface

# Edges shorter than this share of the median are closed up. They show no detail, but where a
# trimmed base or a join left them, thousands of times shorter than the rest, each heat step takes
# ten times as long.
_SHORT = 0.3


def without_short_edges(surface: Surface) -> tuple[Surface, Ints]:
    """Return the surface with its shortest edges closed up, and (n,) whom each vertex joined.

    Only neighbours of one vertex join it, so that a part meshed more finely than the rest is
    thinned, not swallowed. Vertices keep their places.
    """
    lengths = edge_lengths(surface)
    least = _SHORT * float(np.median(lengths))
    if lengths.min() >= least:
        return surface, np.arange(len(surface.vertices), dtype=np.int32)
    starts, ring = surface.ring
    centre = _joined(surface.vertices, starts, ring, least)
    kept = np.unique(centre)
    number = np.zeros(len(centre), dtype=np.int32)
    number[kept] = np.arange(len(kept), dtype=np.int32)
    joined = number[centre]
    faces = joined[surface.faces]
    a, b, c = faces.T
    return Surface(surface.vertices[kept], faces[(a != b) & (b != c) & (c != a)]), joined


@njit(nogil=True, cache=True)
def _joined(points, starts, ring, least):  # type: ignore[no-untyped-def]
    """Return for each vertex the one that it joins, itself where none is near."""
    centre = np.full(len(points), -1, dtype=np.int32)
    for at in range(len(points)):
        if centre[at] >= 0:
            continue
        centre[at] = at
        for k in range(starts[at], starts[at + 1]):
            other = ring[k]
            if centre[other] >= 0:
                continue
            away = 0.0
            for axis in range(3):
                away += (points[other, axis] - points[at, axis]) ** 2
            if away < least * least:
                centre[other] = at
    return centre
