"""Where sharp edges run: the hard convex edges of a piece in connected runs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from partline.detail.detail_map import DetailMap
from partline.geometry.surface import Surface


@dataclass(frozen=True)
class EdgeRun:
    """A connected run of sharp edges that stand out.

    Attributes
    ----------
    length_mm : float
        Length of all its edges [mm].
    place_mm : tuple of float
        A vertex near its middle; of a closed rim, one on it [mm].
    low_mm, high_mm : float
        Lowest and highest it comes [mm].
    """

    length_mm: float
    place_mm: tuple[float, float, float]
    low_mm: float
    high_mm: float


def convex_runs(surface: Surface, detail: DetailMap) -> tuple[EdgeRun, ...]:
    """Return the runs of hard convex edges of the detail map of a surface, longest first."""
    pairs = detail.hard_edges[np.asarray(detail.hard_convex, dtype=bool)]
    if not len(pairs):
        return ()
    used, ends = np.unique(pairs, return_inverse=True)
    ends = ends.reshape(-1, 2)
    points = surface.vertices[used]
    graph = sparse.coo_array((np.ones(len(ends)), tuple(ends.T)), shape=(len(used),) * 2)
    count, label = connected_components(graph, directed=False)
    each = np.linalg.norm(points[ends[:, 0]] - points[ends[:, 1]], axis=1)
    length = np.bincount(label[ends[:, 0]], each, count)
    order = np.argsort(label, kind="stable")
    members = np.split(points[order], np.flatnonzero(np.diff(label[order])) + 1)
    runs = []
    for number in np.argsort(-length, kind="stable"):
        own = members[number]
        near = own[np.argmin(((own - own.mean(axis=0)) ** 2).sum(axis=1))]
        place = (float(near[0]), float(near[1]), float(near[2]))
        low, high = float(own[:, 2].min()), float(own[:, 2].max())
        runs.append(EdgeRun(float(length[number]), place, low, high))
    return tuple(runs)
