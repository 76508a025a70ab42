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

from partline.air.cavity import Cavity
from partline.air.fans import Fans
from partline.air.pockets import NARROW_MM
from partline.air.rims import openings
from partline.errors import CavityError
from partline.geometry.cores import in_parts
from partline.geometry.nearest import nearest_corner
from partline.geometry.rays import first_hit
from partline.geometry.surface import Floats, Ints
from partline.progress import Progress, silent, span

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
    wide = _fits(fans, gap_mm, span(progress, 0.0, 0.8))
    # Resin stands in the mouth itself, however narrow it is.
    wide[fans.outlets] = True
    depth = _depth(fans, wide)
    progress(0.9, _LOOKING)
    regions = [
        region
        for region in _regions(fans, depth > PAST_EDGES * gap_mm)
        if len(region) >= LEAST_VERTICES and depth[region].max() > LEAST_DEPTH * gap_mm
    ]
    areas = _vertex_areas(fans)
    progress(0.95, _LOOKING)
    rims = openings(fans, areas, regions, ISLAND * gap_mm**2)
    found = [
        _described(cavity, areas, region, depth, detail, gap_mm)
        for region, rim in zip(regions, rims, strict=True)
        if rim == 1
    ]
    # A sharp edge of something thick is deep along the skin too, but far across.
    found = [one for one in found if one.width_mm < gap_mm]
    return tuple(sorted(found, key=lambda d: (-round(d.detail, 3), -d.depth_mm)))


def _fits(fans: Fans, gap_mm: float, progress: Progress) -> np.ndarray:
    """Return (n,) bool for the vertices of the fans: a ball so wide fits in and touches there."""
    return np.concatenate(
        in_parts(lambda a, b: _fit(fans, a, b, gap_mm), len(fans.vertices), _AT_A_TIME,
                 progress=progress, words=_LOOKING)
    )  # fmt: skip


@njit(nogil=True, cache=True)
def _fit(fans, start, stop, gap):  # type: ignore[no-untyped-def]
    """Tell for a run of vertices whether a ball fits: against the faces straight across, and then
    against the vertices all round."""
    found = np.zeros(stop - start, dtype=np.bool_)
    radius = 0.5 * gap * (1.0 - SLACK)
    for v in range(start, stop):
        p, n = fans.vertices[v], fans.normals[v]
        x, y, z = -n[0], -n[1], -n[2]
        across, _ = first_hit(fans.tree, p[0], p[1], p[2], x, y, z, 0.0, 2.0 * radius, v)
        if across >= 2.0 * radius:
            half = 0.5 * gap
            near, _ = nearest_corner(
                fans.tree, p[0] + half * x, p[1] + half * y, p[2] + half * z, radius
            )
            found[v - start] = near < 0
    return found


@njit(nogil=True, cache=True)
def _across(fans, vertices, most):  # type: ignore[no-untyped-def]
    """Return the way from each vertex straight across the cavity to the skin ahead."""
    found = np.empty(vertices.shape[0])
    for i, v in enumerate(vertices):
        p, n = fans.vertices[v], fans.normals[v]
        found[i], _ = first_hit(fans.tree, p[0], p[1], p[2], -n[0], -n[1], -n[2], 0.0, most, v)
    return found


def _graph(fans: Fans, edges: np.ndarray, members: Ints) -> csr_array:
    """Return the graph of some of the mesh's edges over some of its vertices, lengths in mm."""
    low, high = fans.low[edges], fans.high[edges]
    length = np.linalg.norm(fans.vertices[low] - fans.vertices[high], axis=1)
    number = np.empty(len(fans.vertices), dtype=np.int32)
    number[members] = np.arange(len(members), dtype=np.int32)
    return csr_array((length, (number[low], number[high])), shape=(len(members), len(members)))


def _depth(fans: Fans, wide: np.ndarray) -> Floats:
    """Return the way of each vertex along edges to the nearest wide one; inf where none is."""
    depth = np.where(wide, 0.0, np.inf)
    # What is wide all round is no way to anywhere.
    edges = ~(wide[fans.low] & wide[fans.high])
    beside = ~wide
    beside[fans.low[edges]] = beside[fans.high[edges]] = True
    members = np.flatnonzero(beside).astype(np.int32)
    start = np.flatnonzero(wide[members])
    if len(start):
        graph = _graph(fans, edges, members)
        depth[members] = dijkstra(graph, directed=False, indices=start, min_only=True)
    return depth


def _regions(fans: Fans, chosen: np.ndarray) -> list[Ints]:
    """Return the connected regions of the chosen vertices."""
    members = np.flatnonzero(chosen).astype(np.int32)
    if len(members) == 0:
        return []
    graph = _graph(fans, chosen[fans.low] & chosen[fans.high], members)
    _, label = connected_components(graph, directed=False)
    order = np.argsort(label, kind="stable")
    return np.split(members[order], np.cumsum(np.bincount(label))[:-1])


def _vertex_areas(fans: Fans) -> Floats:
    third = np.linalg.norm(fans.vectors, axis=1) / 3.0
    count = len(fans.vertices)
    return np.asarray(np.bincount(fans.faces.ravel(), np.repeat(third, 3), count), dtype=np.float64)


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
