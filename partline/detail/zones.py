"""Zones: connected areas of detail, with their size, place and fineness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from partline.detail.detail_map import Zone
from partline.geometry.surface import Floats, Surface

# The finest scale of a zone is that of so much of its skin: a single vertex tells of nothing.
_FINEST_SHARE = 0.1


def find_zones(
    surface: Surface,
    inside: NDArray[np.bool_],
    *,
    areas_mm2: Floats,
    relief_mm: Floats,
    slope: Floats,
    finest_mm: Floats,
    seen_mm: float,
    least_mm2: float,
) -> tuple[Zone, ...]:
    """Return the connected areas of `inside` vertices, largest first.

    Parameters
    ----------
    surface : Surface
    inside : (n,) bool
        Vertices with detail.
    areas_mm2 : (n,) float
        Area round each vertex [mm^2].
    relief_mm : (n,) float
        Relief [mm].
    slope : (n,) float
        Slope [1].
    finest_mm : (n,) float
        Scale at which each vertex is liveliest; NaN where nothing stands out [mm].
    seen_mm : float
        The finest of a zone where nothing tells its scale [mm].
    least_mm2 : float
        Smaller areas are dropped [mm^2].
    """
    vertices = np.flatnonzero(inside)
    if not len(vertices):
        return ()
    first, second = surface.edges[inside[surface.edges].all(axis=1)].T
    n = len(surface.vertices)
    graph = sparse.coo_array((np.ones(len(first)), (first, second)), shape=(n, n))
    _, label = connected_components(graph, directed=False)
    _, group = np.unique(label[vertices], return_inverse=True)
    size = np.bincount(group, weights=areas_mm2[vertices])
    order = np.argsort(group, kind="stable")
    members = np.split(vertices[order], np.flatnonzero(np.diff(group[order])) + 1)
    zones = []
    for number in np.argsort(-size, kind="stable"):
        if size[number] < least_mm2:
            break
        own = members[number].astype(np.int32)
        points = surface.vertices[own]
        middle = np.average(points, axis=0, weights=areas_mm2[own])
        nearest = points[np.argmin(np.linalg.norm(points - middle, axis=1))]
        zones.append(
            Zone(
                vertices=own,
                area_mm2=float(size[number]),
                centre_mm=(float(nearest[0]), float(nearest[1]), float(nearest[2])),
                finest_mm=_finest(finest_mm[own], areas_mm2[own], seen_mm),
                relief_mm=float(relief_mm[own].max()),
                slope=float(np.sqrt(np.average(slope[own] ** 2, weights=areas_mm2[own]))),
            )
        )
    return tuple(zones)


def _finest(scales_mm: Floats, areas_mm2: Floats, seen_mm: float) -> float:
    """Return the scale that a tenth of the skin is liveliest at or below [mm]."""
    known = np.isfinite(scales_mm)
    if not known.any():
        return seen_mm
    order = np.argsort(scales_mm[known], kind="stable")
    area = np.cumsum(areas_mm2[known][order])
    return float(scales_mm[known][order][np.searchsorted(area, _FINEST_SHARE * area[-1])])
