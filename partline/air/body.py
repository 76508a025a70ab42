"""A body of air above a level: its skin, found from its tops outward, and the air under it.

Nothing here looks at more of the mesh than the body reaches, however large the mesh is.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.air.measuring import shares

# The first look for a level is so small a share of what a body is high; each next is twice it.
FIRST = 1.0 / 1024.0
HALVINGS = 60


@njit(nogil=True, cache=True)
def skin(fans, h, tops, level):  # type: ignore[no-untyped-def]
    """Return the vertices above a level that can be reached from some tops without going below it.

    Above the level at which a node of the merge tree is left these are the node's own.
    """
    starts, neighbours = fans.starts, fans.neighbours
    seen = np.zeros((h.shape[0] >> 3) + 1, dtype=np.uint8)  # a bit a vertex
    found = np.empty(256, dtype=np.int32)
    size, at = 0, 0
    for top in tops:
        if h[top] <= level or (seen[top >> 3] >> (top & 7)) & 1:
            continue
        seen[top >> 3] |= 1 << (top & 7)
        if size == found.shape[0]:
            found = _longer(found)
        found[size] = top
        size += 1
        while at < size:
            v = found[at]
            at += 1
            for k in range(starts[v], starts[v + 1]):
                w = neighbours[k]
                if h[w] <= level or (seen[w >> 3] >> (w & 7)) & 1:
                    continue
                seen[w >> 3] |= 1 << (w & 7)
                if size == found.shape[0]:
                    found = _longer(found)
                found[size] = w
                size += 1
    return found[:size]


@njit(nogil=True, cache=True)
def _longer(found):  # type: ignore[no-untyped-def]
    longer = np.empty(4 * found.shape[0], dtype=found.dtype)
    longer[: found.shape[0]] = found
    return longer


@njit(nogil=True, cache=True)
def air(fans, up, h, some, level):  # type: ignore[no-untyped-def]
    """Return the air above a level under some skin, vertex by vertex as `measuring.shares`."""
    part = np.empty(some.shape[0])
    shares(fans, up, h, some, np.full(some.shape[0], level), part)
    return part


@njit(nogil=True, cache=True)
def holds(fans, up, h, tops, low, volume):  # type: ignore[no-untyped-def]
    """Return (level, air above it, its skin) for a level above which there is more than asked.

    Looked for from the top down in steps that double, so that it is not far below the highest
    such level. Where there is none, `low` and what is above that.
    """
    high = low
    for top in tops:
        high = max(high, h[top])
    step = FIRST * (high - low)
    while True:
        level = high - step
        if step >= high - low:
            level = low
        some = skin(fans, h, tops, level)
        held = air(fans, up, h, some, level).sum()
        if held > volume or level == low:
            return level, held, some
        step *= 2.0


@njit(nogil=True, cache=True)
def level_for(fans, up, h, tops, low, volume, close):  # type: ignore[no-untyped-def]
    """Return the level, not under `low`, down to which so much air reaches, to within `close`.

    Halving: of the levels that are tried those are passed over that are known to be too low.
    """
    high = low
    for top in tops:
        high = max(high, h[top])
    if high == low:
        return low
    known, held, some = holds(fans, up, h, tops, low, volume)
    too_low = known if held > volume else -np.inf
    size = some.shape[0]
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if middle <= too_low or air(fans, up, h, some[:size], middle).sum() > volume:
            low = middle
        else:
            high = middle
        if middle > too_low and low == middle:
            kept = 0
            for i in range(size):
                v = some[i]
                some[kept] = v
                kept += h[v] > middle
            size = kept
        if high - low < close:
            break
    return 0.5 * (low + high)
