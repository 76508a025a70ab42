"""Width of the joins between bodies of air: an estimate, from the largest ball that touches."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from scipy.spatial import cKDTree

from partline.air.fans import Fans
from partline.air.kernels import Workspace
from partline.air.merging import merge
from partline.geometry.rays import first_hit
from partline.geometry.surface import Floats, Ints

# Joins whose lesser body is shallower than this are roughness; their width is not asked [mm].
ROUGH_MM = 0.25
# A point of the surface seen from the ball's middle under less than this angle beside the start
# is roughness of the start's own skin, not the far side of a neck [radians].
SAME_SKIN = np.radians(60.0)
# A join whose normal rises at least so much hangs from a ceiling.
CEILING = 0.3
# At most so many places of a join are measured.
PLACES = 12


@njit(nogil=True, cache=True)
def _half_reach(tree, vertices, start, inward, most):  # type: ignore[no-untyped-def]
    """Return half the way from each vertex across the cavity to the skin ahead."""
    radius = np.empty(len(vertices))
    for i in range(len(vertices)):
        p, d = start[i], inward[i]
        distance, _ = first_hit(tree, p[0], p[1], p[2], d[0], d[1], d[2], 0.0, most, vertices[i])
        radius[i] = 0.5 * distance
    return radius


def below(fans: Fans, vertices: Ints, up: Floats) -> Floats:
    """Return the way from each join into the passage that it closes from above, unit length.

    Straight down under a ceiling: air passes level below a join, and at the sharp mouth of a
    passage the normal leads out into the chamber. Along the normal elsewhere.
    """
    normals = fans.normals[vertices]
    return np.where((normals @ up > CEILING)[:, None], -up, -normals)


def widths(
    fans: Fans,
    points: cKDTree,
    vertices: Ints,
    inward: Floats,
    *,
    most_mm: float = np.inf,
    rounds: int = 30,
) -> Floats:
    """Return the diameter of the largest ball inside the cavity that hangs at each vertex.

    Shrinking ball of Ma, Bae and Choi (2012), "3D medial axis point approximation using nearest
    neighbors and the normal field", against the surface's vertices; near contacts within 60
    degrees are taken as noise of the skin.

    Parameters
    ----------
    fans : Fans
    points : cKDTree
        Over `fans.vertices`.
    vertices : (k,) int32
        Where the balls touch.
    inward : (k, 3) float64
        Way to the ball's middle, unit length.
    most_mm : float
        No ball larger than this is looked for [mm].

    Returns
    -------
    (k,) float64
        Diameters [mm], an estimate: no finer than the mesh.
    """
    start = fans.vertices[vertices]
    radius = _half_reach(fans.tree, vertices, start, inward, min(most_mm, fans.size))
    active = np.ones(len(vertices), dtype=bool)
    for _ in range(rounds):
        where = np.flatnonzero(active)
        if len(where) == 0:
            break
        middle = start[where] + radius[where, None] * inward[where]
        near, index = points.query(middle)
        to_near = fans.vertices[index] - start[where]
        squared = np.einsum("ij,ij->i", to_near, to_near)
        along = np.einsum("ij,ij->i", to_near, inward[where])
        smaller = squared / np.maximum(2.0 * along, 1e-300)
        # Angle at the middle between the start and the near point.
        chord = np.sqrt(squared) / np.maximum(2.0 * radius[where], 1e-300)
        angle = 2.0 * np.arcsin(np.clip(chord, 0.0, 1.0))
        shrink = (near < radius[where] * (1 - 1e-6)) & (along > 0) & (angle > SAME_SKIN)
        radius[where[shrink]] = smaller[shrink]
        active[where[~shrink]] = False
    return 2.0 * radius


@njit(nogil=True, cache=True)
def _lower_ends(crossing, low, high, label, h, a, b):  # type: ignore[no-untyped-def]
    """Return the lower ends of the edges between two labels."""
    found = np.empty(crossing.shape[0] + 1, dtype=np.int32)
    size = 0
    for e in crossing:
        v, w = low[e], high[e]
        found[size] = v if h[w] >= h[v] else w
        size += (label[v] == a) & (label[w] == b) | (label[v] == b) & (label[w] == a)
    return found[:size].copy()


class Joins(NamedTuple):
    """Joins of one direction, highest first.

    Attributes
    ----------
    first, second : (j,) int32
        Labels joined; label `count` is the outside.
    vertex : (j,) int32
        Vertex of each join.
    level : (j,) float64
        Its height [mm].
    labels : int
        Number of labels.
    up : (3,) float64
    crossing : (k,) int32
        Edges between labels; holds until the workspace is used again.
    """

    first: Ints
    second: Ints
    vertex: Ints
    level: Floats
    labels: int
    up: Floats
    crossing: Ints


def narrow_joins(
    fans: Fans, points: cKDTree, work: Workspace, joins: Joins, depth: Floats, narrow_mm: float
) -> np.ndarray:
    """Return which joins are narrow; with them shut the air is an upper estimate.

    A join counts when it merged two bodies that both rise above it by more than roughness. Where
    a narrow one is shut others take its place: asked again until nothing new is narrow. A shut
    join parts its two labels for good, though they may meet again widely further down.

    Parameters
    ----------
    fans : Fans
    points : cKDTree
        Over `fans.vertices`.
    work : Workspace
        Heights, labels and tops of the direction.
    joins : Joins
    depth : (j,) float64
        From `merging.merge`.
    narrow_mm : float
        Width below which a join is narrow [mm].

    Returns
    -------
    (j,) bool
    """
    top = work.heights[work.tops[: joins.labels]]
    # A ray's join starts at a top, a door at an outlet: neither is a neck.
    neck = (joins.second < len(top)) & (work.tops[joins.first] != joins.vertex)
    known = np.zeros(len(neck), dtype=bool)
    shut = np.zeros(len(neck), dtype=bool)
    while True:
        ask = np.flatnonzero(neck & ~known & (depth > ROUGH_MM))
        known[ask] = True
        here = joins.vertex[ask]
        found = widths(fans, points, here, below(fans, here, joins.up), most_mm=narrow_mm)
        for j in ask[found < narrow_mm * (1 - 1e-6)]:
            widest = join_width(fans, points, work, joins, int(j), most_mm=narrow_mm)
            shut[j] = widest < narrow_mm * (1 - 1e-6)
        if not shut[ask].any():
            return shut
        _, _, _, depth = merge(joins.first, joins.second, joins.level, shut, top)


def join_width(
    fans: Fans,
    points: cKDTree,
    work: Workspace,
    joins: Joins,
    j: int,
    *,
    most_mm: float = np.inf,
) -> float:
    """Return the width of a join [mm]: the widest place where its labels meet near its level.

    One vertex does not tell it: beside a wall of the passage, or on a bump, no ball has room.
    """
    h = work.heights
    ends = np.unique(
        _lower_ends(
            joins.crossing, fans.low, fans.high, work.label, h, joins.first[j], joins.second[j]
        )
    )
    ends = ends[(h[ends] <= joins.level[j]) & (h[ends] >= joins.level[j] - ROUGH_MM)]
    places = ends[np.linspace(0, len(ends) - 1, min(len(ends), PLACES)).astype(int)]
    places = np.append(places, joins.vertex[j]).astype(np.int32)
    return float(widths(fans, points, places, below(fans, places, joins.up), most_mm=most_mm).max())
