"""Compiled passes of the air analysis: climb, join, merge, measure.

For an upward direction u the height of a vertex is h = v . u. Ties are broken by vertex number
everywhere (simulation of simplicity, Edelsbrunner and Muecke 1990), so that plateaus need no
special case. The passes together are one merge tree of the cavity's superlevel sets, cut off
where it meets the outside (Carr, Snoeyink and Axen 2003 give the tree of a surface; here tops
with cavity above them are joined by a ray, which makes it the tree of the cavity).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.air.fans import Fans
from partline.geometry.rays import first_hit
from partline.geometry.surface import Floats, Ints

CLOSED = -np.inf
# Multiplicative hashing (Knuth 1973): the golden ratio in 64 bits, its high half used.
GOLDEN = np.uint64(0x9E3779B97F4A7C15)
SHIFT = np.uint64(32)


class Workspace(NamedTuple):
    """Arrays the passes write into; one a thread, used again for the next direction.

    `guess` remembers a higher neighbour of each vertex: nearby directions find it at once.
    """

    heights: Floats
    guess: Ints
    label: Ints
    stack: Ints
    tops: Ints


def workspace(fans: Fans) -> Workspace:
    """Return fresh arrays for one thread."""
    n = len(fans.vertices)
    return Workspace(
        np.empty(n), np.arange(n, dtype=np.int32), *(np.empty(n, np.int32) for _ in range(3))
    )


@njit(nogil=True, cache=True)
def climb(vertices, up, starts, neighbours, work):  # type: ignore[no-untyped-def]
    """Label every vertex with the top it reaches uphill; return the number of tops.

    Any higher neighbour will do: the label of a path does not change which tops are joined, nor
    at what level. Each vertex is followed once.
    """
    h, guess, label, stack, tops = work
    n = h.shape[0]
    ux, uy, uz = up[0], up[1], up[2]
    for v in range(n):
        h[v] = vertices[v, 0] * ux + vertices[v, 1] * uy + vertices[v, 2] * uz
        label[v] = -1
    count = 0
    for v in range(n):
        x = v
        depth = 0
        found = label[x]
        while found < 0:
            hx = h[x]
            w = guess[x]
            if not (h[w] > hx or (h[w] == hx and w > x)):
                w = -1
                for k in range(starts[x], starts[x + 1]):
                    y = neighbours[k]
                    if h[y] > hx or (h[y] == hx and y > x):
                        w = y
                        break
                if w < 0:
                    found = count
                    label[x] = count
                    tops[count] = x
                    count += 1
                    break
                guess[x] = w
            stack[depth] = x
            depth += 1
            x = w
            found = label[x]
        for i in range(depth):
            label[stack[i]] = found
    return count


@njit(nogil=True, cache=True)
def _best_pairs(h, starts, neighbours, halves, label, count):  # type: ignore[no-untyped-def]
    """Return the best join of each pair of labels, as (a, b, vertex): the edge's lower end."""
    capacity = 64
    while capacity < 16 * count:
        capacity *= 2
    while True:
        key = np.full(capacity, -1, dtype=np.int64)
        best = np.empty(capacity, dtype=np.int32)
        filled = 0
        for v in range(h.shape[0]):
            own = label[v]
            first = starts[v]
            for k in range(first, first + halves[v]):
                w = neighbours[k]
                other = label[w]
                if other == own:
                    continue
                low = v if (h[v] < h[w] or (h[v] == h[w] and v < w)) else w
                pair = np.int64(min(own, other)) * count + max(own, other)
                slot = np.int64((np.uint64(pair) * GOLDEN) >> SHIFT) & (capacity - 1)
                while key[slot] != pair and key[slot] != -1:
                    slot = (slot + 1) & (capacity - 1)
                if key[slot] == -1:
                    key[slot] = pair
                    best[slot] = low
                    filled += 1
                elif h[low] > h[best[slot]]:
                    best[slot] = low
            if 2 * filled > capacity:
                break
        if 2 * filled <= capacity:
            break
        capacity *= 4
    a = np.empty(filled, dtype=np.int32)
    b = np.empty(filled, dtype=np.int32)
    vertex = np.empty(filled, dtype=np.int32)
    i = 0
    for slot in range(capacity):
        if key[slot] != -1:
            a[i] = key[slot] // count
            b[i] = key[slot] % count
            vertex[i] = best[slot]
            i += 1
    return a, b, vertex


@njit(nogil=True, cache=True)
def highest(faces, h, f):  # type: ignore[no-untyped-def]
    """Return the highest vertex of a face, ties by number."""
    best = faces[f, 0]
    for k in range(1, 3):
        v = faces[f, k]
        if h[v] > h[best] or (h[v] == h[best] and v > best):
            best = v
    return best


@njit(nogil=True, cache=True)
def joins(fans, up, work, count):  # type: ignore[no-untyped-def]
    """Return all joins, highest first, as (a, b, vertex, missed); label `count` is the outside.

    Besides the surface's own: a top with the cavity above it joins the label met by one ray
    straight up, at its own height; every outlet vertex joins the outside at its own height, of
    which the best per label is kept. `missed` is a top whose ray met nothing (-1: none).
    """
    h, _, label, _, tops = work
    a0, b0, v0 = _best_pairs(h, fans.starts, fans.neighbours, fans.halves, label, count)
    pairs = a0.shape[0]
    a = np.empty(pairs + 2 * count, dtype=np.int32)
    b = np.empty(pairs + 2 * count, dtype=np.int32)
    vertex = np.empty(pairs + 2 * count, dtype=np.int32)
    a[:pairs], b[:pairs], vertex[:pairs] = a0, b0, v0
    size = pairs
    missed = -1
    for top in range(count):
        v = tops[top]
        normal = fans.normals[v]
        if normal[0] * up[0] + normal[1] * up[1] + normal[2] * up[2] < 0.0:
            p = fans.vertices[v]
            _, f = first_hit(fans.tree, p[0], p[1], p[2], up[0], up[1], up[2], 1e-9 * fans.size)
            if f < 0:
                missed = v
                continue
            a[size], b[size], vertex[size] = top, label[highest(fans.faces, h, f)], v
            size += 1
    door = np.full(count, -1, dtype=np.int32)
    for v in fans.outlets:
        own = label[v]
        if door[own] < 0 or h[v] > h[door[own]]:
            door[own] = v
    for top in range(count):
        if door[top] >= 0:
            a[size], b[size], vertex[size] = top, count, door[top]
            size += 1
    order = np.argsort(-h[vertex[:size]])
    return a[order], b[order], vertex[order], missed


@njit(nogil=True, cache=True)
def _root(parent, x):  # type: ignore[no-untyped-def]
    while parent[x] != x:
        parent[x] = parent[parent[x]]
        x = parent[x]
    return x


@njit(nogil=True, cache=True)
def merge(a, b, level, shut, count):  # type: ignore[no-untyped-def]
    """Merge labels from high to low until all that can has met the outside.

    Returns
    -------
    spill : (count,) float64
        Level at which each label first belongs to the outside; -inf if it never does.
    pocket : (count,) int32
        Label that stands for the pocket each belongs to.
    door : (count,) int32
        Join over which its pocket spills, -1 if none.
    merged : (size,) bool
        Which joins merged two bodies; the others closed a ring.
    """
    parent = np.arange(count + 1, dtype=np.int32)
    following = np.full(count + 1, -1, dtype=np.int32)
    last = np.arange(count + 1, dtype=np.int32)
    members = np.ones(count + 1, dtype=np.int32)
    spill = np.full(count, CLOSED)
    pocket = np.full(count, -1, dtype=np.int32)
    door = np.full(count, -1, dtype=np.int32)
    merged = np.zeros(a.shape[0], dtype=np.bool_)
    for j in range(a.shape[0]):
        if shut[j]:
            continue
        first = _root(parent, a[j])
        second = _root(parent, b[j])
        if first == second:
            continue
        merged[j] = True
        if first == count or second == count:
            body = second if first == count else first
            x = body
            while x >= 0:
                spill[x] = level[j]
                pocket[x] = body
                door[x] = j
                x = following[x]
            parent[body] = count
            continue
        if members[first] < members[second]:
            first, second = second, first
        parent[second] = first
        members[first] += members[second]
        following[last[first]] = second
        last[first] = last[second]
    for x in range(count):
        if pocket[x] < 0:
            pocket[x] = _root(parent, x)
    return spill, pocket, door, merged


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
    if g2 <= 0.0:
        return g1 * g1 * g1 / (3.0 * (g1 - g2) * (g1 - g3))
    return (g1 + g2 + g3) / 3.0 - g3 * g3 * g3 / (3.0 * (g3 - g1) * (g3 - g2))


@njit(nogil=True, cache=True)
def volumes(fans, up, work, level_of, pocket, count):  # type: ignore[no-untyped-def]
    """Return (count,) volumes of the pockets above the level of each label.

    The flux of (h - level) u through the surface above the level; the lid adds nothing, so
    nothing is capped. A triangle belongs to the label of its highest vertex.
    """
    h, _, label, _, _ = work
    total = np.zeros(count)
    for v in range(h.shape[0]):
        own = label[v]
        level = level_of[own]
        if h[v] <= level:
            continue
        sum_ = 0.0
        for k in range(fans.face_starts[v], fans.face_starts[v + 1]):
            f = fans.face_list[k]
            if highest(fans.faces, h, f) == v:
                n = fans.vectors[f]
                sum_ += (n[0] * up[0] + n[1] * up[1] + n[2] * up[2]) * _flux(
                    h[fans.faces[f, 0]], h[fans.faces[f, 1]], h[fans.faces[f, 2]], level
                )
        total[pocket[own]] += sum_
    return total


@njit(nogil=True, cache=True)
def volume_of(fans, up, work, level_of):  # type: ignore[no-untyped-def]
    """Return the volume of all pockets together, summed in the order of the mesh."""
    h, label = work.heights, work.label
    total = 0.0
    for v in range(h.shape[0]):
        level = level_of[label[v]]
        if h[v] <= level:
            continue
        for k in range(fans.face_starts[v], fans.face_starts[v + 1]):
            f = fans.face_list[k]
            if highest(fans.faces, h, f) == v:
                n = fans.vectors[f]
                total += (n[0] * up[0] + n[1] * up[1] + n[2] * up[2]) * _flux(
                    h[fans.faces[f, 0]], h[fans.faces[f, 1]], h[fans.faces[f, 2]], level
                )
    return total


@njit(nogil=True, cache=True)
def volume_above(fans, up, h, level):  # type: ignore[no-untyped-def]
    """Return the volume of the whole cavity above a level."""
    total = 0.0
    for f in range(fans.faces.shape[0]):
        n = fans.vectors[f]
        total += (n[0] * up[0] + n[1] * up[1] + n[2] * up[2]) * _flux(
            h[fans.faces[f, 0]], h[fans.faces[f, 1]], h[fans.faces[f, 2]], level
        )
    return total


@njit(nogil=True, cache=True)
def levels(spill, pocket, work, count):  # type: ignore[no-untyped-def]
    """Return the level of each label; a body without outlet counts from its own lowest vertex."""
    closed = False
    for x in range(count):
        closed = closed or spill[x] == CLOSED
    if not closed:
        return spill
    h, _, label, _, _ = work
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
    h, _, label, _, _ = work
    for v in range(h.shape[0]):
        if h[v] > spill[label[v]] and rank[label[v]] > result[original[v]]:
            result[original[v]] = rank[label[v]]
