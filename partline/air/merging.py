"""Merging the tops' bodies of air from high to low, until each meets the outside."""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.geometry.joining import root_of

CLOSED = -np.inf


@njit(nogil=True, cache=True)
def merge(a, b, level, count):  # type: ignore[no-untyped-def]
    """Merge labels from high to low until all that can has met the outside.

    Parameters
    ----------
    a, b : (j,) int32
        Labels joined, highest first; label `count` is the outside.
    level : (j,) float64
    count : int
        Number of labels.

    Returns
    -------
    spill : (count,) float64
        Level at which each label first belongs to the outside; -inf if it never does.
    pocket : (count,) int32
        The first label of the pocket each belongs to.
    door : (count,) int32
        Join over which its pocket spills, -1 if none.
    """
    parent = np.arange(count + 1, dtype=np.int32)
    following = np.full(count + 1, -1, dtype=np.int32)
    last = np.arange(count + 1, dtype=np.int32)
    members = np.ones(count + 1, dtype=np.int32)
    spill = np.full(count, CLOSED)
    pocket = np.empty(count, dtype=np.int32)
    door = np.full(count, -1, dtype=np.int32)
    for j in range(a.shape[0]):
        first = root_of(parent, a[j])
        second = root_of(parent, b[j])
        if first == second:
            continue
        if first == count or second == count:
            body = second if first == count else first
            x = body
            while x >= 0:
                spill[x] = level[j]
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
    # Where several joins share the spill level, their order must not tell what is one pocket:
    # bodies belong together when joined strictly above it. The first label stands for them.
    parent[:] = np.arange(count + 1)
    for j in range(a.shape[0]):
        if b[j] < count and level[j] > spill[a[j]]:
            first = root_of(parent, a[j])
            second = root_of(parent, b[j])
            parent[max(first, second)] = min(first, second)
    for x in range(count):
        pocket[x] = root_of(parent, x)
    return spill, pocket, door
