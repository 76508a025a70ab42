"""Straightening a path: Steiner points in a band round it, then sliding its crossings.

The graph of edges and shortcuts finds the right valley; within it a path on more points, moved
along the edges it crosses until the cost no longer falls, comes within a fraction of a percent
of the cheapest curve.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.geometry.paths import PricedGraph, SurfacePath, make_path
from partline.geometry.sliding import slid
from partline.geometry.steiner import through_faces
from partline.geometry.surface import Floats, Surface, distinct, faces_round


def straightened(
    surface: Surface,
    density: Floats,
    path: SurfacePath,
    *,
    rings: int = 2,
    per_edge: int = 4,
    rounds: int = 12,
    passes: int = 6,
) -> SurfacePath:
    """Return a path between the same two points, never dearer than the one given.

    Parameters
    ----------
    surface : Surface
    density : (n,) float64
        Cost per mm; infinite where no path may go [1].
    path : SurfacePath
        Found on the graph of edges and shortcuts; begins and ends at a vertex.
    rings : int
        Rings of faces on either side that the band takes in.
    per_edge : int
        Steiner points on each edge of the band.
    rounds : int
        How often the crossings are moved and the path freed from the vertices it leans on.
    passes : int
        How often the band is laid anew round the path.
    """
    if len(path.points) < 3:
        return path
    best = path
    for _ in range(passes):
        # The band follows the path as it moves, so that it may leave the first guess behind.
        before = best.cost
        near = _near(surface, best, rings=rings)
        found = _on_points(surface, density, best, near, per_edge=per_edge)
        best = min(best, found, key=lambda p: p.cost)
        for _ in range(rounds):
            moved = slid(surface, density, best)
            if not moved.cost < best.cost * (1 - 1e-7):
                break
            best = moved
        if best.cost > before * (1 - 1e-5):
            break
    return best


def refined(
    network: PricedGraph, path: SurfacePath, *, slack: float = 0.12, most: int = 3000
) -> SurfacePath:
    """Return a path between the same two points, sought anew wherever one nearly as cheap runs.

    The graph's error can make it take the wrong one of two ways of nearly the same cost. So the
    finer search first covers every vertex over which a path on the graph costs at most `slack`
    more (at most `most` of them, the cheapest), then follows the path it finds.

    Parameters
    ----------
    network : PricedGraph
    path : SurfacePath
        Found on it; begins and ends at a vertex.
    slack : float
        The graph's own error [1].
    most : int
        Largest number of vertices to search among.
    """
    if len(path.points) < 3:
        return path
    surface, density = network.graph.surface, network.density
    limit = (1 + slack) * path.cost
    there = network.ways([path.ends[0, 0]], limit=limit).cost
    # Back only over what lies on a way that is cheap enough in all.
    through = there + network.ways([path.ends[-1, 0]], limit=limit, beyond=there).cost
    if np.count_nonzero(through <= limit) > most:
        limit = float(np.partition(through, most)[most])
    near = (through <= limit) | _near(surface, path, rings=1)
    wide = _on_points(surface, density, path, near, per_edge=3)
    # Both are straightened: before that neither cost says which way is the better one.
    ways = [straightened(surface, density, way) for way in (path, wide)]
    return min(ways, key=lambda way: way.cost)


def _near(surface: Surface, path: SurfacePath, *, rings: int) -> NDArray[np.bool_]:
    """Tell which vertices lie within some rings of faces of a path."""
    found = np.unique(path.ends)
    for _ in range(rings):
        found = distinct(surface.faces[faces_round(surface, found)])
    near = np.zeros(len(surface.vertices), dtype=bool)
    near[found] = True
    return near


def _on_points(
    surface: Surface,
    density: Floats,
    path: SurfacePath,
    near: NDArray[np.bool_],
    *,
    per_edge: int,
) -> SurfacePath:
    """Return the cheapest path on Steiner points in the faces whose corners are all near."""
    source, goal = int(path.ends[0, 0]), int(path.ends[-1, 0])
    ends, share = through_faces(surface, density, near, source, goal, per_edge=per_edge)
    return make_path(surface, density, ends, share)
