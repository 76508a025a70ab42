"""Compiled volumes of bodies of air above their levels, from the flux through their skin."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.air.kernels import highest
from partline.air.merging import CLOSED


@njit(nogil=True, cache=True)
def _flux(h1, h2, h3, level):  # type: ignore[no-untyped-def]
    """Return the mean of max(h - level, 0) over a triangle with linear h."""
    g1, g2, g3 = h1 - level, h2 - level, h3 - level
    if g1 < g2:
        g1, g2 = g2, g1
    if g2 < g3:
        g2, g3 = g3, g2
    if g1 < g2:
        g1, g2 = g2, g1
    if g1 <= 0.0:
        return 0.0
    if g3 >= 0.0:
        return (g1 + g2 + g3) / 3.0
    # Quotients of at most 1 first: heights may differ by the least a number can.
    if g2 <= 0.0:
        return g1 * (g1 / (g1 - g2)) * (g1 / (g1 - g3)) / 3.0
    return (g1 + g2 + g3) / 3.0 - g3 * (g3 / (g3 - g1)) * (g3 / (g3 - g2)) / 3.0


@njit(nogil=True, cache=True)
def above(work, level_of):  # type: ignore[no-untyped-def]
    """List in `work.some` the vertices above the level of their label; return how many."""
    h, label, some = work.heights, work.label, work.some
    size = 0
    for v in range(h.shape[0]):
        some[size] = v
        size += h[v] > level_of[label[v]]
    return size


@njit(nogil=True, cache=True)
def shares(fans, up, h, some, level_of, part):  # type: ignore[no-untyped-def]
    """Write into `part` the flux of (h - level) u through the skin, shared among `some` vertices.

    Over a triangle all above the level the mean of h - level is a third of each corner's, so
    most of the flux is gathered from the vertices alone. What a triangle that crosses the level
    has more goes to its highest vertex. All corners of a triangle above their levels have the
    same level: their labels are joined above it. `level_of` and `part` follow `some`.
    """
    around, starts, neighbours, longest = (
        fans.around,
        fans.starts,
        fans.neighbours,
        fans.longest,
    )
    faces, vectors = fans.faces, fans.vectors
    face_starts, face_list = fans.face_starts, fans.face_list
    ux, uy, uz = up[0], up[1], up[2]
    for i in range(part.shape[0]):
        v = some[i]
        level = level_of[i]
        part[i] = 0.0
        if h[v] <= level:
            continue
        here = (around[v, 0] * ux + around[v, 1] * uy + around[v, 2] * uz) * (h[v] - level) / 3.0
        lowest = h[v]
        if h[v] - level <= longest[v]:
            for k in range(starts[v], starts[v + 1]):
                lowest = min(lowest, h[neighbours[k]])
        if lowest <= level:
            for k in range(face_starts[v], face_starts[v + 1]):
                f = face_list[k]
                h1, h2, h3 = h[faces[f, 0]], h[faces[f, 1]], h[faces[f, 2]]
                if min(h1, h2, h3) <= level and highest(faces, h, f) == v:
                    corners = max(h1 - level, 0.0) + max(h2 - level, 0.0) + max(h3 - level, 0.0)
                    here += (vectors[f, 0] * ux + vectors[f, 1] * uy + vectors[f, 2] * uz) * (
                        _flux(h1, h2, h3, level) - corners / 3.0
                    )
        part[i] = here


@njit(nogil=True, cache=True)
def _each(work, level_of, size):  # type: ignore[no-untyped-def]
    """Return the level of the label of each of the first `size` of `work.some`."""
    level = np.empty(size)
    for i in range(size):
        level[i] = level_of[work.label[work.some[i]]]
    return level


@njit(nogil=True, cache=True)
def volumes(fans, up, work, level_of, pocket, count):  # type: ignore[no-untyped-def]
    """Return (count,) volumes of the pockets above the level of each label.

    The flux of (h - level) u through the surface above the level; the lid adds nothing, so
    nothing is capped.
    """
    label, some = work.label, work.some
    size = above(work, level_of)
    part = np.empty(size)
    shares(fans, up, work.heights, some, _each(work, level_of, size), part)
    total = np.zeros(count)
    for i in range(size):
        total[pocket[label[some[i]]]] += part[i]
    return total


@njit(nogil=True, cache=True)
def volume_of(fans, up, work, level_of, size):  # type: ignore[no-untyped-def]
    """Return the volume of all pockets together, summed in the order of the mesh.

    The vertices above the levels are among the first `size` of `work.some`.
    """
    part = np.empty(size)
    shares(fans, up, work.heights, work.some, _each(work, level_of, size), part)
    total = 0.0
    for i in range(size):
        total += part[i]
    return total


@njit(nogil=True, cache=True)
def volume_above(fans, up, h, level):  # type: ignore[no-untyped-def]
    """Return the volume of the whole cavity above a level."""
    faces, vectors = fans.faces, fans.vectors
    total = 0.0
    for f in range(faces.shape[0]):
        along = vectors[f, 0] * up[0] + vectors[f, 1] * up[1] + vectors[f, 2] * up[2]
        total += along * _flux(h[faces[f, 0]], h[faces[f, 1]], h[faces[f, 2]], level)
    return total


@njit(nogil=True, cache=True)
def levels(spill, pocket, work, count):  # type: ignore[no-untyped-def]
    """Return the level of each label; a body without outlet counts from its own lowest vertex."""
    closed = False
    for x in range(count):
        closed = closed or spill[x] == CLOSED
    if not closed:
        return spill
    h, label = work.heights, work.label
    bottom = np.full(count, np.inf)
    for v in range(h.shape[0]):
        body = pocket[label[v]]
        bottom[body] = min(bottom[body], h[v])
    result = spill.copy()
    for x in range(count):
        if spill[x] == CLOSED:
            result[x] = bottom[pocket[x]]
    return result


@njit(nogil=True, cache=True)
def inside(spill, rank, work, original, result):  # type: ignore[no-untyped-def]
    """Write into `result` for each original vertex the rank of the body it lies in, if any."""
    h, label = work.heights, work.label
    for v in range(h.shape[0]):
        if h[v] > spill[label[v]] and rank[label[v]] > result[original[v]]:
            result[original[v]] = rank[label[v]]
