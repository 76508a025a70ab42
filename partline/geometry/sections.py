"""Level sections of a closed surface: loops, girths, and how the solid hangs together between.

All levels are cut at once. A vertex on a level counts as above it, so every loop closes even
where the surface lies in the level.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.geometry.joining import join, joined, numbered
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

    Points on one line have a hull of two points, and so has a single one, twice.
    """
    if len(points) < 2:
        return points[[0, 0]]
    rising = points[np.lexsort(points.T[::-1])]
    return np.ascontiguousarray(rising[_hull(rising)])


@njit(nogil=True, cache=True)
def _hull(points):  # type: ignore[no-untyped-def]
    """Return the rows of rising points that are corners of their hull (Andrew 1979)."""
    count = len(points)
    found = np.empty(2 * count + 2, dtype=np.int64)
    size = 0
    for turn in range(2):  # there below, back above
        least = size + 1
        for step in range(count):
            at = step if turn == 0 else count - 1 - step
            while size > least:
                a, b = found[size - 2], found[size - 1]
                left = (points[b, 0] - points[a, 0]) * (points[at, 1] - points[a, 1])
                left -= (points[b, 1] - points[a, 1]) * (points[at, 0] - points[a, 0])
                if left > 0.0:
                    break
                size -= 1
            found[size] = at
            size += 1
        size -= 1  # the last is the first of the other side
    return found[:size]


def girth_of(hull: Floats) -> float:
    """Return the length [mm] round a closed outline; twice the length of a line."""
    return float(np.linalg.norm(hull - np.roll(hull, -1, axis=0), axis=1).sum())


@njit(nogil=True, cache=True)
def _crossings(vertices, edges, floor, levels):  # type: ignore[no-untyped-def]
    """Return where edges cross levels.

    That is where the crossings of each edge begin, (e + 1,), their levels and (k, 2) places; an
    edge crosses from the level above its lower end on.
    """
    first = np.zeros(len(edges) + 1, dtype=np.int64)
    for e in range(len(edges)):
        first[e + 1] = first[e] + abs(floor[edges[e, 0]] - floor[edges[e, 1]])
    level = np.empty(first[-1], dtype=np.int64)
    place = np.empty((first[-1], 2))
    for e in range(len(edges)):
        a, b = edges[e, 0], edges[e, 1]
        for at in range(first[e], first[e + 1]):
            k = min(floor[a], floor[b]) + at - first[e]
            share = (levels[k] - vertices[a, 2]) / (vertices[b, 2] - vertices[a, 2])
            level[at] = k
            for axis in range(2):
                place[at, axis] = (
                    vertices[a, axis] + share * (vertices[b, axis] - vertices[a, axis])
                )  # fmt: skip
    return first, level, place


@njit(nogil=True, cache=True)
def _segments(faces, face_edges, edges, floor, first):  # type: ignore[no-untyped-def]
    """Return the two crossings that each face joins in each level, solid on the left."""
    count = 0
    for f in range(len(faces)):
        a, b, c = floor[faces[f, 0]], floor[faces[f, 1]], floor[faces[f, 2]]
        count += max(a, b, c) - min(a, b, c)
    start, stop = np.empty(count, dtype=np.int64), np.empty(count, dtype=np.int64)
    count = 0
    for f in range(len(faces)):
        a, b, c = floor[faces[f, 0]], floor[faces[f, 1]], floor[faces[f, 2]]
        for level in range(min(a, b, c), max(a, b, c)):
            for k in range(3):
                here, there = floor[faces[f, k]] > level, floor[faces[f, (k + 1) % 3]] > level
                if here == there:
                    continue
                e = face_edges[f, k]
                at = first[e] + level - min(floor[edges[e, 0]], floor[edges[e, 1]])
                if there:
                    stop[count] = at
                else:
                    start[count] = at
            count += 1
    return start, stop


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
    floor = np.searchsorted(heights, surface.vertices[:, 2], side="right")
    first, level, place = _crossings(surface.vertices, surface.edges, floor, heights)
    start, stop = _segments(surface.faces, surface.face_edges, surface.edges, floor, first)
    loop, loops = joined(np.column_stack([start, stop]), len(level))
    swept = place[start, 0] * place[stop, 1] - place[start, 1] * place[stop, 0]
    area = np.bincount(loop[start], weights=swept, minlength=loops) / 2
    loop_level = np.zeros(loops, dtype=np.int64)
    loop_level[loop] = level
    part = _parts(loops, loop_level, area, loop, place, start, stop)
    below, above = _slabs(surface.edges, floor, first, loop, part)
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


@njit(nogil=True, cache=True)
def _slabs(edges, floor, first, loop, part):  # type: ignore[no-untyped-def]
    """Return a label of the slab below and of the slab above each loop's part.

    Nodes: every vertex, and each part's lower and upper side.
    """
    n, loops = len(floor), len(part)
    parent = np.arange(n + 2 * loops)
    for e in range(len(edges)):
        low, high = edges[e, 0], edges[e, 1]
        if floor[low] > floor[high]:
            low, high = high, low
        # From the lower end through the parts that the edge crosses to the upper end.
        below = low
        for at in range(first[e], first[e + 1]):
            join(parent, below, n + part[loop[at]])
            below = n + loops + part[loop[at]]
        join(parent, below, high)
    label = numbered(parent)[0]
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
