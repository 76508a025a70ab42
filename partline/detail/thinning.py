"""A mesh of about a quarter of the triangles: vertices put together in small round clusters."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.geometry.normals import lengths
from partline.geometry.surface import Floats, Ints, Surface

# Rounds in which vertices on the rim of a cluster go over to a nearer one; more change little.
_ROUNDS = 2
# How far a cluster reaches when it is begun, over the mean edge at its first vertex: to all
# neighbours in a net of equal triangles, over the diagonals in one of squares.
_REACH = 1.5


def thinned(surface: Surface, mass: Floats) -> tuple[Surface, Ints]:
    """Return a surface of about a quarter of the triangles, and (n,) the vertex that took in each.

    Vertices are put together with their neighbours until all are taken; then those on a rim go
    over to the cluster whose middle is nearest. A cluster becomes a vertex at its middle, a face
    whose corners lie in three of them stays. What two sides of a thin wall become is never one
    vertex, for a cluster reaches only along edges.

    Parameters
    ----------
    surface : Surface
    mass : (n,) float64
        Weight of each vertex [any].

    References
    ----------
    Valette and Chassery 2004, "Approximated centroidal Voronoi diagrams for uniform polygonal mesh
    coarsening"; the clusters here are begun in one sweep instead of at random.
    """
    points = surface.vertices
    starts, ring = surface.ring
    # From the middle outward, by place: renumbering or turning the mesh changes nothing.
    away = lengths(points - np.average(points, axis=0, weights=mass))
    into, count = _begun(np.argsort(away, kind="stable"), points, starts, ring)
    for _ in range(_ROUNDS):
        into = _settled(points, starts, ring, _middles(points, mass, into, count)[0], into)
    used = np.zeros(count, dtype=bool)
    used[into] = True
    into = (np.cumsum(used, dtype=np.int32) - np.int32(1))[into]
    middles, _ = _middles(points, mass, into, int(used.sum()))
    return Surface(middles, faces_left(into, surface.faces)), into


@njit(nogil=True, cache=True)
def faces_left(into: Ints, faces: Ints) -> Ints:
    """Return the faces whose corners went into three vertices, as those."""
    left = np.empty_like(faces)
    count = 0
    for f in range(len(faces)):
        a, b, c = into[faces[f, 0]], into[faces[f, 1]], into[faces[f, 2]]
        if a != b and b != c and c != a:
            left[count, 0], left[count, 1], left[count, 2] = a, b, c
            count += 1
    return left[:count].copy()


@njit(nogil=True, cache=True)
def _begun(
    order: NDArray[np.int64], points: Floats, starts: NDArray[np.int64], ring: Ints
) -> tuple[Ints, int]:
    """Return the cluster of each vertex, and how many: a vertex and what is untaken round it."""
    into = np.full(len(order), -1, dtype=np.int32)
    count = 0
    for at in order:
        if into[at] >= 0:
            continue
        into[at] = count
        near = ring[starts[at] : starts[at + 1]]
        total = 0.0
        for other in near:
            total += np.sqrt(_square(points, at, other))
        reach2 = (_REACH * total / max(len(near), 1)) ** 2
        for other in near:
            if _square(points, at, other) > reach2:
                continue
            if into[other] < 0:
                into[other] = count
            for beyond in ring[starts[other] : starts[other + 1]]:
                if into[beyond] < 0 and _square(points, at, beyond) <= reach2:
                    into[beyond] = count
        count += 1
    return into, count


@njit(nogil=True, cache=True)
def _square(points: Floats, a: int, b: int) -> float:
    """Square of the distance of two vertices."""
    x = points[a, 0] - points[b, 0]
    y = points[a, 1] - points[b, 1]
    z = points[a, 2] - points[b, 2]
    return x * x + y * y + z * z


@njit(nogil=True, cache=True)
def _middles(points: Floats, mass: Floats, into: Ints, count: int) -> tuple[Floats, Floats]:
    """Return (count, 3) the weighted middle of each cluster, and (count,) its weight."""
    middles, weight = np.zeros((count, 3)), np.zeros(count)
    for at in range(len(into)):
        weight[into[at]] += mass[at]
        for axis in range(3):
            middles[into[at], axis] += mass[at] * points[at, axis]
    for k in range(count):
        if weight[k] > 0.0:
            middles[k] /= weight[k]
    return middles, weight


@njit(nogil=True, cache=True)
def _settled(
    points: Floats, starts: NDArray[np.int64], ring: Ints, middles: Floats, into: Ints
) -> Ints:
    """Return for each vertex, of its own cluster and its neighbours', the one that is nearest."""
    found = np.empty_like(into)
    for at in range(len(into)):
        best, least = into[at], np.inf
        # Its own comes first, so that it stays where another is no nearer.
        for k in range(starts[at] - 1, starts[at + 1]):
            other = into[at] if k < starts[at] else into[ring[k]]
            away = 0.0
            for axis in range(3):
                away += (points[at, axis] - middles[other, axis]) ** 2
            if away < least:
                best, least = other, away
        found[at] = best
    return found
