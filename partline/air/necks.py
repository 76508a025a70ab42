"""Narrow joins between bodies of air: how wide each is, and where air passes if they are shut.

Two tops' parts of the skin meet along one stretch or several, each round a way of its own. By
gravity air passes over the highest place of all; surface tension may hold it back where no ball
of some 3 mm has room. With that way shut the next one below is asked.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from partline.air.balls import SLACK, ball
from partline.air.fans import Fans
from partline.air.kernels import Workspace
from partline.geometry.joining import root_of
from partline.geometry.surface import Floats, Ints

# Joins whose lesser body is shallower than this are roughness; their width is not asked. Nor does
# it matter where, within this below its level, a join is wide [mm].
ROUGH_MM = 0.25
# A join whose normal rises at least so much hangs from a ceiling.
CEILING = 0.3
# At most so many places of a join are measured for its width.
PLACES = 12


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


class Meeting(NamedTuple):
    """Edges between labels, by the smaller of the two.

    Attributes
    ----------
    starts : (count + 1,) int32
        Where the edges of each label begin in `edges`.
    edges : (k,) int32
    """

    starts: Ints
    edges: Ints


@njit(nogil=True, cache=True)
def meeting(fans, work, crossing, count):  # type: ignore[no-untyped-def]
    """Return the `crossing` edges as (starts, edges) of `Meeting`."""
    label, low, high = work.label, fans.low, fans.high
    starts = np.zeros(count + 1, dtype=np.int32)
    for e in crossing:
        starts[min(label[low[e]], label[high[e]]) + 1] += 1
    for x in range(count):
        starts[x + 1] += starts[x]
    place = starts.copy()
    edges = np.empty(crossing.shape[0], dtype=np.int32)
    for e in crossing:
        x = min(label[low[e]], label[high[e]])
        edges[place[x]] = e
        place[x] += 1
    return starts, edges


@njit(nogil=True, cache=True)
def _between(fans, work, starts, edges, a, b):  # type: ignore[no-untyped-def]
    """Return (lower ends, stretch) of the edges between two labels.

    Edges that share a vertex are of one stretch, named by the first of them.
    """
    h, label, low, high, first = work.heights, work.label, fans.low, fans.high, work.some
    a, b = min(a, b), max(a, b)
    most = starts[a + 1] - starts[a]
    mine = np.empty(most, dtype=np.int32)
    size = 0
    for k in range(starts[a], starts[a + 1]):
        e = edges[k]
        if max(label[low[e]], label[high[e]]) == b:
            mine[size] = e
            size += 1
            first[low[e]] = -1
            first[high[e]] = -1
    place = np.empty(size, dtype=np.int32)
    parent = np.arange(size, dtype=np.int32)
    for i in range(size):
        v, w = low[mine[i]], high[mine[i]]
        place[i] = v if h[w] >= h[v] else w
        for end in (v, w):
            if first[end] < 0:
                first[end] = i
            else:
                x, y = root_of(parent, i), root_of(parent, first[end])
                parent[max(x, y)] = min(x, y)
    for i in range(size):
        parent[i] = root_of(parent, i)
    return place, parent


@njit(nogil=True, cache=True)
def _way(fans, work, starts, edges, a, b, k):  # type: ignore[no-untyped-def]
    """Return the k-th highest way between two labels as (places near its top, level of the next).

    The level is -inf where there is no further way.
    """
    h = work.heights
    place, stretch = _between(fans, work, starts, edges, a, b)
    top = np.full(place.shape[0], -np.inf)
    for i in range(place.shape[0]):
        top[stretch[i]] = max(top[stretch[i]], h[place[i]])
    mine = np.argmax(top)
    level = top[mine]
    for _ in range(k):
        top[mine] = -np.inf
        mine = np.argmax(top)
        level = top[mine]
    top[mine] = -np.inf
    near = place[(stretch == mine) & (h[place] >= level - ROUGH_MM)]
    return near, top.max()


@njit(nogil=True, cache=True)
def _widest(fans, up, near, most, enough):  # type: ignore[no-untyped-def]
    """Return the width of a way: the widest of a few places near its highest.

    One vertex does not tell it: beside a wall of the passage, or on a bump, no ball has room.
    """
    width = 0.0
    for k in range(0, near.shape[0], max(1, near.shape[0] // PLACES)):
        width = max(width, _width(fans, near[k], up, most, enough))
        if width >= most * (1.0 - SLACK):
            break
    return width


@njit(nogil=True, cache=True)
def _width(fans, v, up, most, enough):  # type: ignore[no-untyped-def]
    """Return the width at a place of a join, in the passage that it closes from above.

    Straight down under a ceiling: air passes level below a join, and at the sharp mouth of a
    passage the normal leads out into the chamber. Along the normal elsewhere.
    """
    n = fans.normals[v]
    if n[0] * up[0] + n[1] * up[1] + n[2] * up[2] > CEILING:
        return ball(fans, v, -up[0], -up[1], -up[2], most, enough)
    return ball(fans, v, -n[0], -n[1], -n[2], most, enough)


@njit(nogil=True, cache=True)
def door_widths(fans, up, work, joins, starts, edges, doors, narrow):  # type: ignore[no-untyped-def]
    """Return the width of some joins [mm]; more places of a way are measured where one is narrow.

    A join with the outside is as wide as the mouth there, square to its rim.
    """
    width = np.empty(doors.shape[0])
    for i, j in enumerate(doors):
        v = joins.vertex[j]
        if joins.second[j] == joins.labels:
            n = fans.normals[v]
            width[i] = ball(fans, v, -n[0], -n[1], -n[2], fans.size, 0.0)
            continue
        width[i] = _width(fans, v, up, fans.size, 0.0)
        if width[i] < narrow and work.tops[joins.first[j]] != v:
            near, _ = _way(fans, work, starts, edges, joins.first[j], joins.second[j], 0)
            width[i] = max(width[i], _widest(fans, up, near, fans.size, 0.0))
    return width


@njit(nogil=True, cache=True)
def levels_if_shut(fans, up, work, joins, starts, edges, narrow):  # type: ignore[no-untyped-def]
    """Return (j,) levels of the joins with every way narrower than `narrow` mm shut.

    A join is asked for its width when it would merge two bodies that both rise above it by more
    than roughness; -inf is one that is wide nowhere. From high to low, as in `merging.merge`; a
    narrow join waits at its next way below.
    """
    count, h = joins.labels, work.heights
    a, b, vertex, level = joins.first, joins.second, joins.vertex, joins.level
    parent = np.arange(count + 1, dtype=np.int32)
    crown = np.full(count + 1, np.inf)
    crown[:count] = h[work.tops[:count]]
    found = level.copy()
    waiting = np.empty(a.shape[0], dtype=np.int32)
    asked = np.zeros(a.shape[0], dtype=np.int32)
    wait, after = 0, 0
    while after < a.shape[0] or wait > 0:
        slot = -1
        for i in range(wait):
            if slot < 0 or found[waiting[i]] > found[waiting[slot]]:
                slot = i
        if slot < 0 or (after < a.shape[0] and level[after] >= found[waiting[slot]]):
            j = after
            after += 1
        else:
            j = waiting[slot]
            wait -= 1
            waiting[slot] = waiting[wait]
        x, y = root_of(parent, a[j]), root_of(parent, b[j])
        if x == y:
            continue
        # A ray's join starts at a top, a door at an outlet: neither is a neck.
        neck = b[j] < count and work.tops[a[j]] != vertex[j]
        if neck and min(crown[x], crown[y]) - found[j] > ROUGH_MM:
            near, below = _way(fans, work, starts, edges, a[j], b[j], asked[j])
            if _widest(fans, up, near, narrow, narrow) < narrow * (1.0 - SLACK):
                asked[j] += 1
                found[j] = below
                if below > -np.inf:
                    waiting[wait] = j
                    wait += 1
                continue
        parent[y] = x
        crown[x] = max(crown[x], crown[y])
    return found


def met(fans: Fans, work: Workspace, joins: Joins) -> Meeting:
    """Return where labels meet, for the widths of joins."""
    starts, edges = meeting(fans, work, joins.crossing, joins.labels)
    return Meeting(starts, edges)
