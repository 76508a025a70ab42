"""The mesh that detail is measured on: the piece without edges too short to show anything."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from scipy import sparse

from partline.detail.thinning import faces_left
from partline.geometry.noise import random_per_vertex
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent

# Edges shorter than this share of the median are closed up. They show no detail, but where a
# trimmed base or a join left them, thousands of times shorter than the rest, each heat step takes
# ten times as long.
_SHORT = 0.3


@dataclass(frozen=True, eq=False)
class Measured:
    """The mesh that detail is measured on, and what is known of it.

    Attributes
    ----------
    surface : Surface
        Without the shortest edges.
    joined : (m,) int32
        Its vertex that each vertex of the piece joined.
    areas_mm2 : (n,) float64
        Area round each vertex [mm^2].
    laplacian : (n, n) sparse
        From `geometry.operators.mass_and_laplacian`.
    random : (n,) float64
        From `geometry.noise.random_per_vertex` [1].
    """

    surface: Surface
    joined: Ints
    areas_mm2: Floats
    laplacian: sparse.csr_array
    random: Floats


def measured(surface: Surface, seed: int, progress: Progress = silent) -> Measured:
    """Return what detail is measured on; `seed` is that of the random numbers."""
    words = "noise of the scan"
    progress(0.0, words)
    mesh, joined = without_short_edges(surface)
    progress(0.3, words)
    areas, laplacian = mass_and_laplacian(mesh)
    progress(0.8, words)
    return Measured(mesh, joined, areas, laplacian, random_per_vertex(mesh, seed))


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
    kept = np.zeros(len(centre), dtype=bool)
    kept[centre] = True
    joined = (np.cumsum(kept, dtype=np.int32) - np.int32(1))[centre]
    return Surface(surface.vertices[kept], faces_left(joined, surface.faces)), joined


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
