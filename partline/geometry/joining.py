"""Numbers that hang together: union and find, for compiled loops over pairs."""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(nogil=True, cache=True)
def root_of(parent, v):  # type: ignore[no-untyped-def]
    """Return the number that stands for all that v was joined to (Tarjan and van Leeuwen 1984)."""
    while parent[v] != v:
        parent[v] = parent[parent[v]]
        v = parent[v]
    return v


@njit(nogil=True, cache=True)
def join(parent, a, b):  # type: ignore[no-untyped-def]
    """Join what a and b belong to; the smaller number stands for both."""
    a, b = root_of(parent, a), root_of(parent, b)
    if a < b:
        parent[b] = a
    elif b < a:
        parent[a] = b


@njit(nogil=True, cache=True)
def numbered(parent):  # type: ignore[no-untyped-def]
    """Return (n,) the number of the group of each, in order of their smallest, and how many."""
    label = np.empty(len(parent), dtype=np.int64)
    count = 0
    for v in range(len(parent)):
        root = root_of(parent, v)
        if root == v:
            label[v] = count
            count += 1
        else:
            label[v] = label[root]
    return label, count


@njit(nogil=True, cache=True)
def joined(pairs, count):  # type: ignore[no-untyped-def]
    """Return (count,) the group of each number that (k, 2) pairs join, and how many groups."""
    parent = np.arange(count)
    for k in range(len(pairs)):
        join(parent, pairs[k, 0], pairs[k, 1])
    return numbered(parent)
