"""Compiled passes of the air analysis: heights, the climb to the tops, the joins between them.

For an upward direction u the height of a vertex is h = v . u. Ties are broken by vertex number
everywhere (simulation of simplicity, Edelsbrunner and Muecke 1990), so that plateaus need no
special case. With `merging.merge` the passes are one merge tree of the cavity's superlevel sets,
cut off where it meets the outside (Carr, Snoeyink and Axen 2003 give the tree of a surface; here
tops with cavity above them are joined by a ray, which makes it the tree of the cavity).

The loops over all vertices and edges hold no branch that cannot be foreseen: a wrongly
foreseen branch costs more than the three loads beside it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.air.fans import Fans
from partline.geometry.joining import root_of
from partline.geometry.rays import TOUCH, first_hit
from partline.geometry.surface import Floats, Ints

# Multiplicative hashing (Knuth 1973): the golden ratio in 64 bits, its high half used.
GOLDEN = np.uint64(0x9E3779B97F4A7C15)
SHIFT = np.uint64(32)
# How deep a surface may run through itself: like the smallest bubble that shows [mm].
FOLD_MM = 0.5
_NEAR = 64  # so many vertices round a head are looked at, the nearest along edges first
# A place in an array without a sign: compiled code need not ask whether it counts from the end.
Id = np.uint32


class Workspace(NamedTuple):
    """Arrays the passes write into; one a thread, used again for the next direction.

    `guess` remembers a higher neighbour of each vertex, itself for a top: directions nearby
    find most of them still right. `some` and `crossing` hold lists for one pass. The lists have
    one place to spare: it is written before it is known whether it counts.
    """

    heights: Floats
    guess: Ints
    label: Ints
    tops: Ints
    some: Ints
    crossing: Ints


def workspace(fans: Fans) -> Workspace:
    """Return fresh arrays for one thread."""
    n = len(fans.vertices)
    return Workspace(
        heights=np.empty(n),
        guess=np.arange(n, dtype=np.int32),
        label=np.empty(n, dtype=np.int32),
        tops=np.empty(n + 1, dtype=np.int32),
        some=np.empty(n + 1, dtype=np.int32),
        crossing=np.empty(len(fans.low) + 1, dtype=np.int32),
    )


def kept(work: Workspace, count: int) -> Workspace:
    """Return what a direction with so many tops is known by, without what the passes scribble."""
    none = np.empty(0, dtype=np.int32)
    return Workspace(
        work.heights.copy(), none, work.label.copy(), work.tops[:count].copy(), none, none
    )


@njit(nogil=True, cache=True)
def _guess_afresh(fans, up, work):  # type: ignore[no-untyped-def]
    """Give each vertex the last of its higher neighbours, itself where none is higher."""
    h, guess, vertices, low, high = work.heights, work.guess, fans.vertices, fans.low, fans.high
    ux, uy, uz = up[0], up[1], up[2]
    for i in range(h.shape[0]):
        h[i] = vertices[i, 0] * ux + vertices[i, 1] * uy + vertices[i, 2] * uz
        guess[i] = i
    for e in range(low.shape[0]):
        v, w = Id(low[e]), Id(high[e])
        rises = h[w] >= h[v]  # at equal heights the larger number, w, is the higher
        guess[v if rises else w] = w if rises else v


@njit(nogil=True, cache=True)
def _follow(fans, up, work):  # type: ignore[no-untyped-def]
    """Lead each vertex along right guesses of rising numbers; return how many such runs end.

    The ends are listed in `work.some`, falling, and each vertex's is written into `work.label`,
    its height into `work.heights`. One sweep down the numbers does it all; the ends, some tenths
    of the vertices, are tops or go on to a smaller number.
    """
    h, guess, label, _, some, _ = work
    vertices = fans.vertices
    ux, uy, uz = up[0], up[1], up[2]
    size = Id(0)
    last = Id(h.shape[0] - 1)
    for i in range(h.shape[0]):
        v = Id(last - Id(i))
        height = vertices[v, 0] * ux + vertices[v, 1] * uy + vertices[v, 2] * uz
        h[v] = height
        g = Id(guess[v])
        onward = np.int64(label[g])
        # All ones where the run ends, from signs: a branch here is wrongly foreseen too often.
        drop = np.float64(h[g] - height).view(np.int64)
        ends = (drop | (np.int64(g) - np.int64(v) - 1)) >> 63
        some[size] = v
        size = Id(size - Id(ends))
        label[v] = onward ^ ((onward ^ np.int64(v)) & ends)
    return size


@njit(nogil=True, cache=True)
def _mistaken(work, size):  # type: ignore[no-untyped-def]
    """List in `work.crossing` the ends of the runs whose guess is wrong; return how many."""
    h, guess, _, _, some, mistaken = work
    wrong = Id(0)
    for i in range(size):
        v = Id(some[i])
        mistaken[wrong] = v
        wrong += Id(h[Id(guess[v])] <= h[v])
    return np.int64(wrong)


@njit(nogil=True, cache=True)
def _mend(fans, work, wrong):  # type: ignore[no-untyped-def]
    """Guess again where an earlier direction's guess is wrong: at so many of `work.crossing`.

    A neighbour of a larger number is taken where one is higher.
    """
    h, guess, mistaken = work.heights, work.guess, work.crossing
    starts, neighbours = fans.starts, fans.neighbours
    for i in range(wrong):
        v = Id(mistaken[i])
        guess[v] = v
        for k in range(starts[v], starts[v + 1]):
            w = Id(neighbours[k])
            if h[w] > h[v] or (h[w] == h[v] and w > v):
                guess[v] = w
                break


@njit(nogil=True, cache=True)
def _name_tops(work, size):  # type: ignore[no-untyped-def]
    """Lead the `size` ends of runs to their tops and label every vertex with its top's number."""
    _, guess, label, tops, some, name = work
    count = Id(0)
    for i in range(size):
        v = Id(some[Id(size - Id(1) - Id(i))])
        label[v] = label[Id(label[Id(guess[v])])]
        tops[count] = v
        name[v] = count
        count += Id(guess[v] == v)
    for i in range(size):
        v = Id(some[Id(size - Id(1) - Id(i))])
        name[v] = name[Id(root_of(label, v))]
    for i in range(label.shape[0]):
        label[i] = name[Id(label[i])]
    return np.int64(count)


@njit(nogil=True, cache=True)
def climb(fans, up, work, afresh):  # type: ignore[no-untyped-def]
    """Label every vertex with the top it reaches uphill; return the number of tops.

    Any higher neighbour will do: the label of a path does not change which tops are joined, nor
    at what level. But it does change where labels meet: who asks that must begin `afresh`, with
    no guess of an earlier direction. Tops are numbered in the order of the vertices.
    """
    if not afresh:
        size = _follow(fans, up, work)
        wrong = _mistaken(work, size)
        if 12 * wrong <= work.heights.shape[0]:
            _mend(fans, work, wrong)
            return _name_tops(work, size)
    _guess_afresh(fans, up, work)
    return _name_tops(work, _follow(fans, up, work))


@njit(nogil=True, cache=True)
def _best_pairs(fans, work, count):  # type: ignore[no-untyped-def]
    """Return the best join of each pair of labels, as (a, b, vertex, size).

    The vertex is the edge's lower end; `work.crossing` then lists the `size` edges between labels.
    """
    h, label, crossing = work.heights, work.label, work.crossing
    low, high = fans.low, fans.high
    listed = Id(0)
    for e in range(low.shape[0]):
        crossing[listed] = e
        listed += Id(label[Id(low[e])] != label[Id(high[e])])
    size = np.int64(listed)  # numba turns sums with numbers without a sign into floats
    capacity = 64
    while capacity < min(16 * count, 2 * size):
        capacity *= 2
    while True:
        key = np.full(capacity, -1, dtype=np.int64)
        best = np.empty(capacity, dtype=np.int32)
        filled = 0
        for i in range(size):
            v, w = Id(low[crossing[i]]), Id(high[crossing[i]])
            own, other = label[v], label[w]
            lower = v if h[w] >= h[v] else w
            pair = np.int64(min(own, other)) * count + max(own, other)
            slot = np.int64((np.uint64(pair) * GOLDEN) >> SHIFT) & (capacity - 1)
            while key[slot] != pair and key[slot] != -1:
                slot = (slot + 1) & (capacity - 1)
            if key[slot] == -1:
                key[slot] = pair
                best[slot] = lower
                filled += 1
                if 2 * filled > capacity:
                    break
            elif h[lower] > h[best[slot]] or (h[lower] == h[best[slot]] and lower > best[slot]):
                best[slot] = lower
        if 2 * filled <= capacity:
            break
        capacity = capacity * 4
    a = np.empty(filled, dtype=np.int32)
    b = np.empty(filled, dtype=np.int32)
    vertex = np.empty(filled, dtype=np.int32)
    for i, place in enumerate(np.flatnonzero(key >= 0)):
        a[i] = key[place] // count
        b[i] = key[place] % count
        vertex[i] = best[place]
    return a, b, vertex, size


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
def pierced(fans, v):  # type: ignore[no-untyped-def]
    """Return a face that a head with nothing above it has just come through, -1 if none.

    Scans run through themselves here and there by less than `FOLD_MM`. A head that pokes through
    its ceiling so little belongs to it as one that touches it. The edges round the head, looked
    at from near to far, lead back to where it comes through.
    """
    near = np.empty(_NEAR, dtype=np.int32)
    near[0] = v
    size, at = 1, 0
    while at < size:
        u = near[at]
        at += 1
        p = fans.vertices[u]
        for k in range(fans.starts[u], fans.starts[u + 1]):
            w = fans.neighbours[k]
            d = fans.vertices[w] - p
            end = min(FOLD_MM / max(np.sqrt((d * d).sum()), 1e-300), 1.0 - 1e-9)
            _, f = first_hit(fans.tree, p[0], p[1], p[2], d[0], d[1], d[2], 0.0, end, u)
            if f >= 0:
                return f
            away = fans.vertices[w] - fans.vertices[v]
            fresh = size < _NEAR and np.sqrt((away * away).sum()) < FOLD_MM
            for i in range(size):
                fresh = fresh and near[i] != w
            if fresh:
                near[size] = w
                size += 1
    return -1


@njit(nogil=True, cache=True)
def joins(fans, up, work, count):  # type: ignore[no-untyped-def]
    """Return all joins, highest first, as (a, b, vertex, missed, crossing).

    Label `count` is the outside; `crossing` edges between labels are listed in `work.crossing`.

    Besides the surface's own: a top with the cavity above it joins the label met by one ray
    straight up, at its own height; every outlet vertex joins the outside at its own height, of
    which the best per label is kept. `missed` is a top whose ray met nothing (-1: none).
    """
    h, label, tops = work.heights, work.label, work.tops
    a0, b0, v0, crossing = _best_pairs(fans, work, count)
    pairs = a0.shape[0]
    a = np.empty(pairs + 2 * count, dtype=np.int32)
    b = np.empty(pairs + 2 * count, dtype=np.int32)
    vertex = np.empty(pairs + 2 * count, dtype=np.int32)
    a[:pairs], b[:pairs], vertex[:pairs] = a0, b0, v0
    size = pairs
    missed = -1
    start = -TOUCH * fans.size  # a head that touches the ceiling in a point joins it there
    for top in range(count):
        v = tops[top]
        normal = fans.normals[v]
        if normal[0] * up[0] + normal[1] * up[1] + normal[2] * up[2] < 0.0:
            p = fans.vertices[v]
            _, f = first_hit(fans.tree, p[0], p[1], p[2], up[0], up[1], up[2], start, np.inf, v)
            if f < 0:
                f = pierced(fans, v)
            if f < 0:
                missed = v
                continue
            w = highest(fans.faces, h, f)
            a[size], b[size], vertex[size] = top, label[w], v if h[w] > h[v] else w
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
    return a[order], b[order], vertex[order], missed, crossing
