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


@njit(nogil=True, cache=True)
def _half_reach(tree, vertices, start, inward, most):  # type: ignore[no-untyped-def]
    """Return half the way from each vertex across the cavity to the skin ahead."""
    radius = np.empty(len(vertices))
    for i in range(len(vertices)):
        p, d = start[i], inward[i]
        distance, _ = first_hit(tree, p[0], p[1], p[2], d[0], d[1], d[2], 0.0, most, vertices[i])
        radius[i] = 0.5 * distance
    return radius


def widths(
    fans: Fans, points: cKDTree, vertices: Ints, *, most_mm: float = np.inf, rounds: int = 30
) -> Floats:
    """Return the diameter of the largest ball inside the cavity that touches at each vertex.

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
    most_mm : float
        No ball larger than this is looked for [mm].

    Returns
    -------
    (k,) float64
        Diameters [mm], an estimate: no finer than the mesh.
    """
    start = fans.vertices[vertices]
    inward = -fans.normals[vertices]
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


def _narrow(fans: Fans, points: cKDTree, vertices: Ints, narrow_mm: float) -> np.ndarray:
    """Return at which vertices no ball of the width fits; larger balls are not looked for."""
    return widths(fans, points, vertices, most_mm=narrow_mm) < narrow_mm * (1 - 1e-6)


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
    shut : (j,) bool
        Whether it leads nowhere.
    labels : int
        Number of labels.
    crossing : (k,) int32
        Edges between labels; holds until the workspace is used again.
    """

    first: Ints
    second: Ints
    vertex: Ints
    level: Floats
    shut: np.ndarray
    labels: int
    crossing: Ints


def wide_joins(
    fans: Fans,
    points: cKDTree,
    work: Workspace,
    joins: Joins,
    depth: Floats,
    narrow_mm: float,
) -> Joins | None:
    """Return the joins with each narrow one moved down to where its labels meet widely.

    A join counts when it merged two bodies that both rise above it by more than roughness. Where
    a narrow one goes others take its place: asked again until nothing new is narrow.

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
    Joins or None
        None where no join that counts is narrow.
    """
    top = work.heights[work.tops[: joins.labels]]
    wide = np.zeros(len(joins.first), dtype=bool)
    changed = False
    while True:
        # A ray's join starts at a top, a door at an outlet: neither is a neck.
        neck = (joins.second < len(top)) & (work.tops[joins.first] != joins.vertex)
        ask = np.flatnonzero(neck & ~wide & (depth > ROUGH_MM))
        found = _narrow(fans, points, joins.vertex[ask], narrow_mm)
        wide[ask[~found]] = True
        if not found.any():
            return joins if changed else None
        changed = True
        vertex, shut = joins.vertex.copy(), joins.shut.copy()
        for j in ask[found]:
            lower = _lower_place(fans, points, work, joins, int(j), narrow_mm)
            wide[j] = True
            shut[j] = lower < 0
            vertex[j] = vertex[j] if lower < 0 else lower
        level = work.heights[vertex]
        order = np.argsort(-level, kind="stable")
        joins = joins._replace(
            first=joins.first[order],
            second=joins.second[order],
            vertex=vertex[order],
            level=level[order],
            shut=shut[order],
        )
        wide = wide[order]
        _, _, _, depth = merge(joins.first, joins.second, joins.level, joins.shut, top)


def _lower_place(
    fans: Fans, points: cKDTree, work: Workspace, joins: Joins, j: int, narrow_mm: float
) -> int:
    """Return the highest vertex at which the labels of a narrow join meet widely, or -1.

    Of the edges between the labels one is asked in each ball of the narrow width.
    """
    h, label = work.heights, work.label
    lower = np.unique(
        _lower_ends(joins.crossing, fans.low, fans.high, label, h, joins.first[j], joins.second[j])
    )
    lower = lower[h[lower] < joins.level[j]]
    lower = lower[np.argsort(-h[lower], kind="stable")]
    place = fans.vertices[lower]
    left = np.linalg.norm(place - fans.vertices[joins.vertex[j]], axis=1) > narrow_mm
    asked = []
    while left.any():
        i = int(np.argmax(left))
        asked.append(lower[i])
        left &= np.linalg.norm(place - place[i], axis=1) > narrow_mm
    if not asked:
        return -1
    wide = ~_narrow(fans, points, np.array(asked, dtype=np.int32), narrow_mm)
    return int(asked[int(np.argmax(wide))]) if wide.any() else -1
