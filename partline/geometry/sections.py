"""Level sections of a closed surface: loops, girths, and how the solid hangs together between.

All levels are cut at once. A vertex on a level counts as above it, so every loop closes even
where the surface lies in the level.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError

from partline.geometry.surface import Floats, Ints, Surface

# Positions in arrays, as numpy makes them; `Ints` is what is kept.
Index = NDArray[np.integer[Any]]


@dataclass(frozen=True, eq=False)
class Sections:
    """The sections of a solid at rising levels, and the solid's pieces between them.

    A *part* is one connected area of solid in one level: an outer loop with the holes in it.
    A *slab* is one connected piece of solid between two neighbouring levels (or below the first
    or above the last).

    Attributes
    ----------
    levels : (k,) float64
        Heights [mm].
    level : (c,) int32
        Level that each part lies in.
    hulls : tuple of (h, 2) float64
        Convex hull of each part, counter-clockwise [mm].
    girth : (c,) float64
        Length round that hull [mm].
    area : (c,) float64
        Area of each part, holes taken off [mm^2].
    centre : (c, 2) float64
        Mean of the hull's corners [mm].
    below, above : (c,) int32
        Slab that each part bounds from above and from below.
    slabs : int
        Number of slabs.
    """

    levels: Floats
    level: Ints
    hulls: tuple[Floats, ...]
    girth: Floats
    area: Floats
    centre: Floats
    below: Ints
    above: Ints
    slabs: int


def hull_of(points: Floats) -> Floats:
    """Return (h, 2) the convex hull of (k, 2) points, counter-clockwise.

    Points on one line have a hull of two points.
    """
    if len(points) > 2:
        try:
            return points[ConvexHull(points).vertices]
        except QhullError:
            pass  # all on one line: its two ends are the hull
    along = np.ptp(points, axis=0)
    line = points[:, int(np.argmax(along))]
    return points[[int(np.argmin(line)), int(np.argmax(line))]]


def girth_of(hull: Floats) -> float:
    """Return the length [mm] round a closed outline; twice the length of a line."""
    return float(np.linalg.norm(hull - np.roll(hull, -1, axis=0), axis=1).sum())


def _crossings(surface: Surface, levels: Floats) -> tuple[Index, Index, Floats]:
    """Return the edge, the level and the (k, 2) place of every crossing of edge and level."""
    floor = np.searchsorted(levels, surface.vertices[:, 2], side="right")
    edges = surface.edges
    low, high = np.sort(floor[edges], axis=1).T
    count = high - low
    edge = np.repeat(np.arange(len(edges)), count)
    rank = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    level = low[edge] + rank
    a, b = surface.vertices[edges[edge, 0]], surface.vertices[edges[edge, 1]]
    share = (levels[level] - a[:, 2]) / (b[:, 2] - a[:, 2])
    return edge, level, a[:, :2] + share[:, None] * (b - a)[:, :2]


def _segments(surface: Surface, levels: Floats, first: Index, low: Index) -> tuple[Index, Index]:
    """Return the two crossings that each face joins in each level, solid on the left."""
    floor = np.searchsorted(levels, surface.vertices[:, 2], side="right")
    sides = surface.face_edges
    corner = floor[surface.faces]
    bottom, top = corner.min(axis=1), corner.max(axis=1)
    count = top - bottom
    face = np.repeat(np.arange(len(sides)), count)
    rank = np.arange(len(face)) - np.repeat(np.cumsum(count) - count, count)
    level = bottom[face] + rank
    above = corner[face] > level[:, None]
    following = above[:, [1, 2, 0]]
    rising, falling = (~above & following).argmax(axis=1), (above & ~following).argmax(axis=1)
    nodes = []
    for side in (falling, rising):
        edge = sides[face, side]
        nodes.append(first[edge] + level - low[edge])
    return nodes[0], nodes[1]


def sections(surface: Surface, levels: ArrayLike) -> Sections:
    """Cut a closed surface at rising heights.

    Parameters
    ----------
    surface : Surface
        Closed and outward.
    levels : (k,) float64
        Heights, strictly rising [mm].
    """
    heights = np.asarray(levels, dtype=np.float64)
    if heights.ndim != 1 or not len(heights) or (np.diff(heights) <= 0).any():
        raise ValueError("Levels must be heights that rise strictly.")
    edges = surface.edges
    floor = np.searchsorted(heights, surface.vertices[:, 2], side="right")
    low = floor[edges].min(axis=1)
    edge, level, place = _crossings(surface, heights)
    first = np.cumsum(count := np.bincount(edge, minlength=len(edges))) - count
    start, stop = _segments(surface, heights, first, low)
    total = len(edge)
    ones = np.ones(len(start), dtype=np.int8)
    loops, loop = connected_components(
        coo_matrix((ones, (start, stop)), shape=(total, total)), directed=False
    )
    swept = place[start, 0] * place[stop, 1] - place[start, 1] * place[stop, 0]
    area = np.bincount(loop[start], weights=swept, minlength=loops) / 2
    loop_level = np.zeros(loops, dtype=np.int64)
    loop_level[loop] = level
    part = _parts(loops, loop_level, area, loop, place, start, stop)
    below, above = _slabs(surface, floor, edge, first, loop, part)
    return _gathered(heights, loop_level, area, loop, place, part, below, above)


def _parts(
    loops: int,
    loop_level: Index,
    area: Floats,
    loop: Index,
    place: Floats,
    start: Index,
    stop: Index,
) -> Index:
    """Return (loops,) the outer loop that each loop belongs to; itself for an outer one."""
    part = np.arange(loops)
    order = np.argsort(loop[start], kind="stable")
    start, stop = start[order], stop[order]
    by_level = np.argsort(loop_level[loop[start]], kind="stable")
    start, stop = start[by_level], stop[by_level]
    bounds = np.searchsorted(loop_level[loop[start]], np.arange(loop_level.max(initial=0) + 2))
    _, sample = np.unique(loop, return_index=True)
    for hole in np.flatnonzero(area < 0):
        rows = slice(bounds[loop_level[hole]], bounds[loop_level[hole] + 1])
        p, a, b = place[sample[hole]], place[start[rows]], place[stop[rows]]
        owner = loop[start[rows]]
        across = (a[:, 1] > p[1]) != (b[:, 1] > p[1])
        across &= owner != hole
        rise = np.where(across, b[:, 1] - a[:, 1], 1.0)
        right = a[:, 0] + (p[1] - a[:, 1]) / rise * (b[:, 0] - a[:, 0]) > p[0]
        around = np.unique(owner[across & right], return_counts=True)
        inside = around[0][(around[1] % 2 == 1) & (area[around[0]] > 0)]
        if len(inside):
            part[hole] = inside[np.argmin(area[inside])]
    return part


def _slabs(
    surface: Surface, floor: Index, edge: Index, first: Index, loop: Index, part: Index
) -> tuple[Index, Index]:
    """Return a label of the slab below and of the slab above each loop's part.

    Nodes: every vertex, and each part's lower and upper side.
    """
    edges, n, loops = surface.edges, len(surface.vertices), len(part)
    count = np.abs(floor[edges[:, 0]] - floor[edges[:, 1]])
    plain = np.flatnonzero(count == 0)
    crossed = np.flatnonzero(count > 0)
    lower_end = np.where(
        floor[edges[crossed, 0]] < floor[edges[crossed, 1]], edges[crossed, 0], edges[crossed, 1]
    )
    upper_end = edges[crossed].sum(axis=1) - lower_end
    last = first[crossed] + count[crossed] - 1
    through = np.flatnonzero(edge[1:] == edge[:-1]) if len(edge) else np.zeros(0, int)
    owner = part[loop]
    under, over = n + owner, n + loops + owner
    a = np.concatenate([edges[plain, 0], lower_end, over[last], over[through]])
    b = np.concatenate([edges[plain, 1], under[first[crossed]], upper_end, under[through + 1]])
    size = n + 2 * loops
    table = coo_matrix((np.ones(len(a), dtype=np.int8), (a, b)), shape=(size, size))
    _, label = connected_components(table, directed=False)
    return label[n : n + loops], label[n + loops :]


def _gathered(
    heights: Floats,
    loop_level: Index,
    area: Floats,
    loop: Index,
    place: Floats,
    part: Index,
    below: Index,
    above: Index,
) -> Sections:
    # A hole whose outer loop was not found (a touching sheet) is no part of its own.
    outer = np.flatnonzero((part == np.arange(len(part))) & (area > 0))
    order = np.argsort(loop, kind="stable")
    bounds = np.searchsorted(loop[order], np.arange(len(part) + 1))
    hulls = tuple(hull_of(place[order[bounds[k] : bounds[k + 1]]]) for k in outer)
    solid = np.bincount(part, weights=area, minlength=len(part))[outer]
    used, label = np.unique(np.concatenate([below[outer], above[outer]]), return_inverse=True)
    return Sections(
        levels=heights,
        level=loop_level[outer].astype(np.int32),
        hulls=hulls,
        girth=np.array([girth_of(hull) for hull in hulls]),
        area=np.asarray(solid, dtype=np.float64),
        centre=np.array([hull.mean(axis=0) for hull in hulls]).reshape(-1, 2),
        below=label[: len(outer)].astype(np.int32),
        above=label[len(outer) :].astype(np.int32),
        slabs=len(used),
    )
