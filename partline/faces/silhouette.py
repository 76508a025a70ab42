"""The outline of a solid seen from one side, as polygons in millimetres."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from manifold3d import CrossSection, FillRule
from numba import njit
from numpy.typing import ArrayLike, NDArray

from partline.geometry.chaining import chained
from partline.geometry.points import flattened
from partline.geometry.surface import Floats, Ints, Surface

# Twice the area of a face seen edge on [mm^2].
_NOTHING_MM2 = 1e-12


def silhouette(
    surface: Surface, right: ArrayLike, up: ArrayLike, *, within_mm: float = 0.05
) -> tuple[Floats, ...]:
    """Return the outlines of a surface's shadow along right x up.

    The shadow is the union of all faces thrown onto the plane, each turned to run
    counter-clockwise: a robust boolean of the lines along which they do not cancel, then thinned.
    Holes through which one could look are holes in it.

    Parameters
    ----------
    surface : Surface
        Closed or open [mm].
    right, up : (3,) float64
        Unit vectors of the paper, at right angles.
    within_mm : float
        How far thinning may move the outline [mm].

    Returns
    -------
    tuple of (k, 2) float64
        Outer outlines counter-clockwise, holes clockwise, along `right` and `up` [mm].
    """
    paper = np.stack([np.asarray(right, dtype=np.float64), np.asarray(up, dtype=np.float64)])
    shadow = _of_faces(flattened(surface.vertices, paper), surface.faces).simplify(within_mm)
    return tuple(np.asarray(p, dtype=np.float64) for p in shadow.to_polygons())


def _of_faces(points: Floats, faces: Ints) -> CrossSection:
    """Return the union of flat triangles, given by their (n, 2) points on the paper.

    All are turned to run counter-clockwise. How often they wind round a point is told by the
    edges alone that do not cancel against a neighbour's: where the surface ends or turns over.
    """
    starts, stops = _left_over(_turned_edges(points, faces)).T
    # As many edges lead to a vertex as away from it, so the chains close.
    order, begins = chained(starts, stops)
    run = points[starts[order]]
    loops = [run[a:b] for a, b in pairwise([*begins.tolist(), len(run)])]
    return CrossSection(loops, FillRule.Positive)


@njit(cache=True, nogil=True)
def _way(points: Floats, a: int, b: int, c: int) -> int:
    """Return 1 for a face that runs counter-clockwise, -1 the other way, 0 for one edge on."""
    ax, ay = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]
    bx, by = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1]
    twice = ax * by - ay * bx
    if twice > _NOTHING_MM2:
        return 1
    return -1 if twice < -_NOTHING_MM2 else 0


@njit(cache=True, nogil=True)
def _scrambled(number: int) -> np.uint64:
    """Return 64 bits that look drawn by lot for a number (Steele, Lea and Flood 2014)."""
    z = np.uint64(number + 1) * np.uint64(0x9E3779B97F4A7C15)
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return z ^ (z >> np.uint64(31))


@njit(cache=True, nogil=True)
def _turned_edges(points: Floats, faces: Ints) -> NDArray[np.int64]:
    """Return the (k, 2) edges, in the way they run, of vertices at which some do not cancel.

    Every edge is added, with its sign and as a number that looks drawn by lot, to a sum at its
    lower vertex. Where all cancel the sum is nought; that it is so by chance has one chance in
    2^64, and all others, nearly all, need not be sorted.
    """
    sums = np.zeros(len(points), dtype=np.uint64)
    for f in range(len(faces)):
        way = _way(points, faces[f, 0], faces[f, 1], faces[f, 2])
        for k in range(3 if way else 0):
            a, b = faces[f, k], faces[f, (k + 1) % 3]
            if (a < b) == (way > 0):
                sums[min(a, b)] += _scrambled(max(a, b))
            else:
                sums[min(a, b)] -= _scrambled(max(a, b))
    many = 0
    for f in range(len(faces)):
        for k in range(3):
            many += sums[min(faces[f, k], faces[f, (k + 1) % 3])] != 0
    edges = np.empty((many, 2), dtype=np.int64)
    at = 0
    for f in range(len(faces)):
        way = 2
        for k in range(3):
            a, b = faces[f, k], faces[f, (k + 1) % 3]
            if sums[min(a, b)] == 0:
                continue
            if way == 2:
                way = _way(points, faces[f, 0], faces[f, 1], faces[f, 2])
            if way:
                edges[at, 0], edges[at, 1] = (a, b) if way > 0 else (b, a)
                at += 1
    return edges[:at]


def _left_over(edges: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the edges left when each is cancelled by one that runs back."""
    start, stop = edges.T
    n = int(edges.max(initial=0)) + 1
    pair, place = np.unique(np.minimum(start, stop) * n + np.maximum(start, stop),
                            return_inverse=True)  # fmt: skip
    net = np.bincount(place, np.where(start < stop, 1, -1), len(pair)).astype(np.int64)
    # A closed surface covers its shadow an even number of times: half of them will do.
    net //= 1 if (net % 2).any() else 2
    low, high = np.divmod(pair, n)
    ways = np.where((net > 0)[:, None], np.column_stack([low, high]), np.column_stack([high, low]))
    return np.repeat(ways, np.abs(net), axis=0)
