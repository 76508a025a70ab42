"""A heap of nodes by their cost, for compiled searches: put in, made cheaper, taken cheapest first.

Every node stands in it at most once, so it never outgrows their number.
"""

from __future__ import annotations

from numba import njit

# Of `place`: a node that was never put in; of one that was taken out it is `TAKEN`.
UNSEEN, TAKEN = -1, -2
_ARMS = 4  # children of a node: fewer levels than two, and they lie side by side


@njit(nogil=True, cache=True)
def put(heap, place, cost, size, node):  # type: ignore[no-untyped-def]
    """Put a node in, or move it up after its cost fell; return the size of the heap.

    Parameters
    ----------
    heap : (n,) int32
        The nodes in it, in its first `size` places.
    place : (n,) int32
        Where each node stands in it, `UNSEEN` or `TAKEN`.
    cost : (n,) float64
        Of each node.
    size, node : int

    References
    ----------
    Johnson (1975), "Priority queues with update and finding minimum spanning trees".
    """
    at = place[node]
    if at < 0:
        at = size
        size += 1
    value = cost[node]
    while at > 0:
        above = (at - 1) // _ARMS
        other = heap[above]
        if cost[other] <= value:
            break
        heap[at] = other
        place[other] = at
        at = above
    heap[at] = node
    place[node] = at
    return size


@njit(nogil=True, cache=True)
def take(heap, place, cost, size):  # type: ignore[no-untyped-def]
    """Take the cheapest node out of a heap that is not empty; return it. It is then one smaller."""
    top = heap[0]
    place[top] = TAKEN
    last = heap[size - 1]
    if last == top:
        return top
    at = 0
    value = cost[last]
    while True:
        first = _ARMS * at + 1
        stop = min(first + _ARMS, size - 1)
        if first >= stop:
            break
        best = heap[first]
        where = first
        for k in range(first + 1, stop):
            if cost[heap[k]] < cost[best]:
                best = heap[k]
                where = k
        if cost[best] >= value:
            break
        heap[at] = best
        place[best] = at
        at = where
    heap[at] = last
    place[last] = at
    return top
