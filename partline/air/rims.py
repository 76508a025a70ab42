"""Rims of regions of the skin: in how many places each opens into what is more than noise.

Each region is looked at by itself, no farther round it than an island reaches, so that what many
regions take grows with what they cover and not with the mesh.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from partline.air.fans import Fans
from partline.geometry.surface import Floats, Ints


def openings(fans: Fans, areas: Floats, regions: list[Ints], island_mm2: float) -> Ints:
    """Return in how many rims each region opens into the rest of the skin.

    Parameters
    ----------
    fans : Fans
    areas : (n,) float64
        Skin that belongs to each vertex [mm^2].
    regions : list of (k,) int32
        Vertices of each region; none is in two.
    island_mm2 : float
        Skin beyond a rim that is no more than this is a patch of noise within the region [mm^2].

    Returns
    -------
    (r,) int32
    """
    if not regions:
        return np.zeros(0, dtype=np.int32)
    starts = np.cumsum([0, *(len(region) for region in regions)])
    found: Ints = _openings(fans, areas, np.concatenate(regions), starts, island_mm2)
    return found


@njit(nogil=True, cache=True)
def _openings(fans, areas, listed, begins, island):  # type: ignore[no-untyped-def]
    n = areas.shape[0]
    inside = np.full(n, -1, dtype=np.int32)  # the last region that holds each vertex,
    beside = np.full(n, -1, dtype=np.int32)  # or has it on its rim,
    walked = np.full(n, -1, dtype=np.int64)  # and the last walk that came by
    found = np.zeros(begins.shape[0] - 1, dtype=np.int32)
    walks = 0
    for r in range(found.shape[0]):
        region = listed[begins[r] : begins[r + 1]]
        inside[region] = r
        rim = _rim(fans, region, inside, beside, r)
        is_open = _opens(fans, areas, inside, r, rim, island, walked, walks)
        walks += rim.shape[0]
        found[r] = _stretches(fans, rim[is_open], beside, n + r)
    return found


@njit(nogil=True, cache=True)
def _rim(fans, region, inside, beside, mark):  # type: ignore[no-untyped-def]
    """Return the neighbours of a region, each once."""
    starts, neighbours = fans.starts, fans.neighbours
    rim = [np.int32(0) for _ in range(0)]
    for v in region:
        for at in range(starts[v], starts[v + 1]):
            w = neighbours[at]
            if inside[w] != mark and beside[w] != mark:
                beside[w] = mark
                rim.append(w)
    return np.array(rim, dtype=np.int32)


@njit(nogil=True, cache=True)
def _opens(fans, areas, inside, mark, rim, island, walked, before):  # type: ignore[no-untyped-def]
    """Tell which vertices of a rim have more skin beyond them than an island.

    The skin is walked from each only until that much is found, or a place known to be open.
    Walks are numbered from `before` on.
    """
    starts, neighbours = fans.starts, fans.neighbours
    found = np.zeros(rim.shape[0], dtype=np.bool_)
    for k in range(rim.shape[0]):
        if walked[rim[k]] >= before:
            found[k] = found[walked[rim[k]] - before]
            continue
        stack = [rim[k]]
        walked[rim[k]] = before + k
        area = 0.0
        while len(stack) > 0 and not found[k]:
            v = stack.pop()
            area += areas[v]
            found[k] = area > island
            for at in range(starts[v], starts[v + 1]):
                w = neighbours[at]
                if inside[w] == mark or walked[w] == before + k:
                    continue
                # All that an earlier walk saw is open; a closed one saw its whole patch.
                if walked[w] >= before:
                    found[k] = found[walked[w] - before]
                    continue
                walked[w] = before + k
                stack.append(w)
    return found


@njit(nogil=True, cache=True)
def _stretches(fans, rim, beside, mark):  # type: ignore[no-untyped-def]
    """Return how many stretches some vertices of a rim make along the edges between them."""
    starts, neighbours = fans.starts, fans.neighbours
    beside[rim] = mark
    count = 0
    for first in rim:
        if beside[first] != mark:
            continue
        count += 1
        beside[first] = -1
        stack = [first]
        while len(stack) > 0:
            v = stack.pop()
            for at in range(starts[v], starts[v + 1]):
                w = neighbours[at]
                if beside[w] == mark:
                    beside[w] = -1
                    stack.append(w)
    return count
