"""What a millimetre of cut costs at each point of the piece, in millimetres of plain skin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from partline.cut.seen import LOOKING, Spots, reach_of, seen_from, show_directions, spots_of
from partline.cut.zones import Zones
from partline.detail.detail_map import DetailMap
from partline.errors import JobError
from partline.geometry.curvature import principal_curvatures
from partline.geometry.patches import next_to
from partline.geometry.paths import PricedGraph
from partline.geometry.spreading import spread
from partline.geometry.surface import Floats, Ints, Surface
from partline.progress import Progress, silent, span

# Detail from here on is kept clear of by the margin [1]; below, it only costs.
PRIZED = 0.5
# How far a hand strays from a line in rubber [mm]; common practice, no source.
HAND_MM = 2.5
# A groove of this radius is as hard to scrape as can be [mm]; common practice, no source.
TIGHT_MM = 3.0


class Weights(NamedTuple):
    """What makes a millimetre dearer, each in millimetres of plain skin; all common practice.

    Attributes
    ----------
    detail : float
        Through the finest detail of the piece.
    near : float
        Beside detail; falls to 0 as far beyond the margin as a hand strays. Within reach of a
        slip the price of the detail itself is added by the chance of one.
    on_show : float
        Where every show direction sees it.
    concave : float
        In a groove too tight to scrape.
    blade : float
        Where no straight blade gets in from the side of the block.
    deep : float
        Where the blade goes in 10 mm past the outline of the piece; twice that for 20 mm.
    inward : float
        In the middle of the back instead of out at the silhouette, for one of two cuts: halves
        of unequal width open badly.
    hard_edge : float
        Share of the price along a hard convex edge, where a line hides and scrapes easily.
    go_here : float
        Share of the price in a zone marked "go here".
    """

    detail: float = 8.0
    near: float = 3.0
    on_show: float = 6.0
    concave: float = 2.0
    blade: float = 4.0
    deep: float = 1.0
    inward: float = 3.0
    hard_edge: float = 0.5
    go_here: float = 0.25


@dataclass(frozen=True, eq=False)
class Skin:
    """What the cut has to know of each vertex of the piece.

    Attributes
    ----------
    detail : (n,) float64
        Detail, 0 (plain) to 1 [1].
    prized : (n,) bool
        Detail that the line keeps its margin from.
    clear_mm : (n,) float64
        Distance over the surface to the nearest prized detail; inf where there is none [mm].
    nearest : (n,) int32
        The vertex of prized detail that lies so near; -1 where there is none.
    show : (n,) float64
        Share of the show directions from which it is seen [1].
    concave : (n,) float64
        How hard it is to scrape, 0 (flat, convex) to 1 [1].
    shut : (n,) float64
        Share of the fan in which a blade is held in which it does not get there, 0 to 1 [1].
    deep_mm : (n,) float64
        How far past the outline of the piece it goes in at least [mm].
    hard_edge : (n,) bool
        On a hard convex edge.
    zones : Zones
    """

    detail: Floats
    prized: NDArray[np.bool_]
    clear_mm: Floats
    nearest: Ints
    show: Floats
    concave: Floats
    shut: Floats
    deep_mm: Floats
    hard_edge: NDArray[np.bool_]
    zones: Zones


def clearance(plain: PricedGraph, detail: NDArray[np.bool_]) -> tuple[Floats, Ints]:
    """Return (n,) the distance over the surface to the nearest of some vertices [mm], and which.

    Infinite and -1 where none is reached.
    """
    ways = plain.ways(np.flatnonzero(detail))
    every = np.arange(len(detail), dtype=np.int32)
    return ways.cost, np.where(np.isfinite(ways.cost), ways.start(every), -1).astype(np.int32)


def clearance_without(
    plain: PricedGraph, skin: Skin, excused: NDArray[np.bool_], within_mm: float
) -> Floats:
    """Return (n,) the distance to the nearest prized detail that is not excused [mm].

    Infinite where it is more than `within_mm` and other than it was. Only those vertices are
    looked at anew whose nearest detail was excused.
    """
    lost = excused[skin.nearest] & (skin.nearest >= 0)
    if not lost.any():
        return skin.clear_mm
    # Arcs reach as far as the second ring.
    rim = lost
    for _ in range(2):
        rim = rim | next_to(plain.graph.surface, rim)
    seeds = np.flatnonzero(rim & ~lost & (skin.clear_mm <= within_mm))
    ways = spread(plain.graph.arcs, plain.density, seeds, at_cost=skin.clear_mm[seeds],
                  within=lost, limit=within_mm)  # fmt: skip
    return np.where(lost, ways.cost, skin.clear_mm)


def skin_of(
    plain: PricedGraph,
    detail: DetailMap,
    zones: Zones,
    *,
    show: str,
    wall_mm: float = 0.0,
    height_mm: float = np.inf,
    spots: Spots | None = None,
    progress: Progress = silent,
) -> Skin:
    """Gather what the cut has to know of each vertex; wall and height of the block in mm."""
    piece = plain.graph.surface
    if detail.weight.shape != (len(piece.vertices),):
        raise JobError(
            f"The detail map has {len(detail.weight)} weights, the piece "
            f"{len(piece.vertices)} vertices. Measure the detail on stand.piece."
        )
    prized = _prized(piece, detail.weight)
    hard = np.zeros(len(prized), dtype=bool)
    hard[detail.hard_edges[np.asarray(detail.hard_convex, dtype=bool)].ravel()] = True
    progress(0.0, LOOKING)
    over = spots or spots_of(piece)
    _ = piece.rays
    progress(0.07, LOOKING)
    clear, nearest = clearance(plain, prized)
    reach = reach_of(piece, wall_mm=wall_mm, height_mm=height_mm, spots=over,
                     progress=span(progress, 0.1, 0.7))  # fmt: skip
    return Skin(
        detail=detail.weight,
        prized=prized,
        clear_mm=clear,
        nearest=nearest,
        show=seen_from(
            piece, show_directions(show), spots=over, progress=span(progress, 0.7, 0.95)
        ),
        concave=concavity(
            piece, detail.noise_mm or 0.0, spots=over, progress=span(progress, 0.95, 1.0)
        ),
        shut=reach.shut,
        deep_mm=reach.deep_mm,
        hard_edge=hard,
        zones=zones,
    )


def price(skin: Skin, margin_mm: float, weights: Weights, inward: Floats) -> Floats:
    """Return (n,) the cost of a millimetre at each vertex; infinite where the line may not go.

    Parameters
    ----------
    skin : Skin
    margin_mm : float
        Distance to keep from prized detail even where the hand strays; 0 for none [mm].
    weights : Weights
    inward : (n,) float64
        How far in from the silhouette, 0 to 1; 0 everywhere for a single cut [1].
    """
    return np.asarray(
        _price(
            skin.detail, skin.show, skin.concave, skin.shut, skin.deep_mm, inward, skin.clear_mm,
            skin.hard_edge, skin.zones.go_here, skin.zones.stay_off, float(margin_mm),
            Weights(*map(float, weights)),
        )
    )  # fmt: skip


@njit(nogil=True, cache=True)
def _price(detail, show, concave, shut, deep, inward, clear, hard, here, off, margin, w):  # type: ignore[no-untyped-def]
    """Return the cost of each vertex; `w` are `Weights`."""
    cost = np.empty(len(detail))
    for v in range(len(detail)):
        if off[v]:
            cost[v] = np.inf
            continue
        each = 1.0 + w.detail * detail[v] + w.on_show * show[v] + w.concave * concave[v]
        each = each + w.blade * shut[v] + w.deep * deep[v] / 10.0 + w.inward * inward[v]
        if margin > 0:
            each += w.near * min(max(1 - clear[v] / (margin + HAND_MM), 0.0), 1.0)
            # The chance that a hand strays so far to one side, evenly more seldom the farther.
            each += w.detail * min(max(1 - clear[v] / HAND_MM, 0.0), 1.0) ** 2 / 2
        cost[v] = each * (w.hard_edge if hard[v] else 1.0) * (w.go_here if here[v] else 1.0)
    return cost


def _prized(piece: Surface, weight: Floats) -> NDArray[np.bool_]:
    """Tell which detail is prized: strong, and not a lone vertex among plain skin."""
    strong = weight >= PRIZED
    first, second = piece.edges.T
    company = np.bincount(first, weights=strong[second], minlength=len(weight))
    company += np.bincount(second, weights=strong[first], minlength=len(weight))
    return strong & (company >= 2)


def concavity(
    piece: Surface,
    noise_mm: float = 0.0,
    *,
    spots: Spots | None = None,
    progress: Progress = silent,
) -> Floats:
    """Return (n,) how concave the skin is, 0 to 1 in a straight groove of `TIGHT_MM` radius.

    By the sum of both principal curvatures, fitted over as much skin as the scan's noise asks
    for, at every vertex or at spots over the skin.

    Parameters
    ----------
    piece : Surface
    noise_mm : float
        Of the scan's vertices along the normal [mm].
    spots : Spots, optional
    progress : Progress
    """
    over = spots or spots_of(piece)
    bent = principal_curvatures(piece, noise_mm=noise_mm, form_mm=TIGHT_MM, at=over.chosen,
                                progress=progress)  # fmt: skip
    return np.clip(-bent.sum(axis=1) * TIGHT_MM, 0.0, 1.0)[over.nearest]
