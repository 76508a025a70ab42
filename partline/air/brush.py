"""Narrow dead ends: tips, blind holes and grooves that resin may bridge, whatever the pour's way.

A place is narrow where a ball as wide as a gap that clears by itself does not fit inside the
cavity so that it touches the skin there (thickness by inscribed balls: Hildebrand and
Rueegsegger 1997, "A new method for the model-independent assessment of thickness in
three-dimensional images"). How deep it lies is the way along the skin from where it is wide. A
narrow region is a dead end when it opens into the wide in one rim only; one with two is a
passage. Along a plain edge such a ball does not fit either, but nothing is deep there: what is no
deeper than a wedge of 60 degrees is narrow is let be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, dijkstra
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.fans import Fans
from partline.air.pockets import NARROW_MM
from partline.errors import CavityError
from partline.geometry.cores import in_parts
from partline.geometry.rays import first_hit
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent

# A ball fits when nothing stands into it by more than this share of its radius: the scan's noise.
SLACK = 0.1
# In gaps: how deep a dead end must be at the least (a wedge of 60 degrees is as wide as the gap
# so far from its edge), and where its region begins, past what a right-angled edge has.
LEAST_DEPTH = 0.5 * np.sqrt(3.0)
PAST_EDGES = 0.55
# Fewer vertices than this are no more than a facet of a coarse mesh.
LEAST_VERTICES = 4
# A patch of skin smaller than so many squared gaps that seems wide inside a narrow region is
# noise, and its rim no opening.
ISLAND = 1.0
_LOOKING = "Looking for narrow ends"
# Rays that one core casts at a time.
_AT_A_TIME = 4096


@dataclass(frozen=True, eq=False)
class DeadEnd:
    """A narrow dead end of the cavity: brush resin in before closing.

    Attributes
    ----------
    tip : (3,) float64
        Its deepest place, in the cavity's pose [mm].
    depth_mm : float
        Along the skin, from where it is as wide as the gap to its deepest place [mm]; an estimate.
    width_mm : float
        Middle width of it, an estimate: no finer than the mesh [mm].
    long_mm : float
        How long its rim is across; much more than the gap for a groove [mm].
    area_mm2 : float
        Skin of it [mm^2].
    detail : float
        Detail on that skin, as weights times area [mm^2].
    groove : bool
        Much longer than wide: an edge or a groove; else a tip or a blind hole.
    vertices : (k,) int32
        Vertices of the cavity in it.
    """

    tip: Floats
    depth_mm: float
    width_mm: float
    long_mm: float
    area_mm2: float
    detail: float
    groove: bool
    vertices: Ints


def dead_ends(
    cavity: Cavity,
    *,
    gap_mm: float = NARROW_MM,
    weights: ArrayLike | None = None,
    progress: Progress = silent,
) -> tuple[DeadEnd, ...]:
    """Return the narrow dead ends of a cavity, the most detail first, then the deepest.

    Parameters
    ----------
    cavity : Cavity
    gap_mm : float
        What is at least so wide clears by itself [mm].
    weights : (n,) float, optional
        Detail at the cavity's vertices [1].
    progress : Progress

    Raises
    ------
    CavityError
        If the gap is not above 0, or the weights do not fit the cavity.
    """
    if not (np.isfinite(gap_mm) and gap_mm > 0):
        raise CavityError(f"A gap of {gap_mm:g} mm cannot be; say more than 0.")
    fans = cavity.fans
    n = len(cavity.surface.vertices)
    detail = np.zeros(n) if weights is None else np.asarray(weights, dtype=np.float64)
    if detail.shape != (n,):
        raise CavityError(f"Detail is given at {detail.shape} vertices; the cavity has {n}.")
    progress(0.0, _LOOKING)
    wide = _fits(cavity, gap_mm)
    progress(0.5, _LOOKING)
    # Resin stands in the mouth itself, however narrow it is.
    wide[fans.outlets] = True
    graph, areas = _edges(fans), _vertex_areas(fans)
    depth = _depth(graph, np.flatnonzero(wide).astype(np.int32))
    progress(0.7, _LOOKING)
    found = []
    for region in _regions(graph, depth > PAST_EDGES * gap_mm):
        if len(region) < LEAST_VERTICES or depth[region].max() <= LEAST_DEPTH * gap_mm:
            continue
        if not _is_dead_end(graph, areas, region, ISLAND * gap_mm**2):
            continue
        one = _described(cavity, areas, region, depth, detail, gap_mm)
        # A sharp edge of something thick is deep along the skin too, but far across.
        if one.width_mm < gap_mm:
            found.append(one)
    return tuple(sorted(found, key=lambda d: (-round(d.detail, 3), -d.depth_mm)))


def _fits(cavity: Cavity, gap_mm: float) -> np.ndarray:
    """Return (n,) bool for the vertices of the fans: a ball so wide fits in and touches there."""
    fans = cavity.fans
    every = np.arange(len(fans.vertices), dtype=np.int32)
    # Against the faces straight across, and against the vertices all round.
    across = np.concatenate(
        in_parts(lambda a, b: _across(fans, every[a:b], gap_mm), len(every), _AT_A_TIME)
    )
    # No farther than counts.
    near, _ = cKDTree(fans.vertices).query(
        fans.vertices - 0.5 * gap_mm * fans.normals, distance_upper_bound=gap_mm, workers=-1
    )
    return np.asarray(np.minimum(0.5 * across, near) >= 0.5 * gap_mm * (1.0 - SLACK))


@njit(nogil=True, cache=True)
def _across(fans, vertices, most):  # type: ignore[no-untyped-def]
    """Return the way from each vertex straight across the cavity to the skin ahead."""
    found = np.empty(vertices.shape[0])
    for i, v in enumerate(vertices):
        p, n = fans.vertices[v], fans.normals[v]
        found[i], _ = first_hit(fans.tree, p[0], p[1], p[2], -n[0], -n[1], -n[2], 0.0, most, v)
    return found


def _edges(fans: Fans) -> csr_array:
    """Return the graph of the mesh's edges, lengths in mm."""
    n = len(fans.vertices)
    length = np.linalg.norm(fans.vertices[fans.low] - fans.vertices[fans.high], axis=1)
    return csr_array(
        (np.r_[length, length], (np.r_[fans.low, fans.high], np.r_[fans.high, fans.low])),
        shape=(n, n),
    )


def _depth(graph: csr_array, wide: Ints) -> Floats:
    """Return the way of each vertex along edges to the nearest wide one; inf where none is."""
    if len(wide) == 0:
        return np.full(graph.shape[0], np.inf)
    return np.asarray(dijkstra(graph, directed=False, indices=wide, min_only=True))


def _regions(graph: csr_array, chosen: np.ndarray) -> list[Ints]:
    """Return the connected regions of the chosen vertices."""
    members = np.flatnonzero(chosen)
    if len(members) == 0:
        return []
    _, label = connected_components(graph[members][:, members], directed=False)
    order = np.argsort(label, kind="stable")
    return np.split(members[order].astype(np.int32), np.cumsum(np.bincount(label))[:-1])


def _is_dead_end(graph: csr_array, areas: Floats, region: Ints, island_mm2: float) -> bool:
    """Tell whether a region opens into the rest in one rim only."""
    inside = np.zeros(len(areas), dtype=bool)
    inside[region] = True
    rim = np.unique(graph[region].indices)
    rim = rim[~inside[rim]]
    # What lies beyond a rim is a room, or a patch of noise within the region.
    rim = rim[_opens(graph.indptr, graph.indices, areas, inside, rim, island_mm2)]
    chosen = np.zeros(len(areas), dtype=bool)
    chosen[rim] = True
    return len(_regions(graph, chosen)) == 1


@njit(nogil=True, cache=True)
def _opens(starts, neighbours, areas, inside, rim, island_mm2):  # type: ignore[no-untyped-def]
    """Tell which vertices of a rim have more skin beyond them than an island.

    The skin is walked from each only until that much is found, or a place known to be open.
    """
    found = np.zeros(len(rim), dtype=np.bool_)
    walk = np.full(len(areas), -1, dtype=np.int32)  # the last walk that came by
    for k in range(len(rim)):
        stack = [rim[k]]
        earlier = walk[rim[k]]
        if earlier >= 0:
            found[k] = found[earlier]
            continue
        walk[rim[k]] = k
        area = 0.0
        while len(stack) > 0 and not found[k]:
            v = stack.pop()
            area += areas[v]
            found[k] = area > island_mm2
            for at in range(starts[v], starts[v + 1]):
                w = neighbours[at]
                if inside[w] or walk[w] == k:
                    continue
                # All that an earlier walk saw is open; a closed one saw its whole patch.
                if walk[w] >= 0:
                    found[k] = found[walk[w]]
                    continue
                walk[w] = k
                stack.append(w)
    return found


def _vertex_areas(fans: Fans) -> Floats:
    third = np.linalg.norm(fans.vectors, axis=1) / 3.0
    areas = np.zeros(len(fans.vertices))
    np.add.at(areas, fans.faces, third[:, None])
    return areas


def _described(
    cavity: Cavity, areas: Floats, region: Ints, depth: Floats, detail: Floats, gap_mm: float
) -> DeadEnd:
    fans = cavity.fans
    tip = int(region[np.argmax(depth[region])])
    area = areas[region]
    low = region[depth[region] < depth[region].min() + 0.5 * gap_mm]
    long_mm = float(np.ptp(fans.vertices[low], axis=0).max())
    original = fans.original[region]
    across = _across(fans, region, fans.size)
    return DeadEnd(
        tip=fans.vertices[tip].copy(),
        depth_mm=float(depth[tip]),
        width_mm=float(np.median(across)),
        long_mm=long_mm,
        area_mm2=float(area.sum()),
        detail=float((detail[original] * area).sum()),
        groove=long_mm > 3.0 * gap_mm,
        vertices=np.unique(original).astype(np.int32),
    )
