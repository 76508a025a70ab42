"""The route of one line: nothing better anywhere, then the cheapest within that."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.cut.cost import Skin, Weights, clearance_without, price
from partline.cut.layout import Corridor, side_words
from partline.cut.walled import walled_off
from partline.cut.zones import Zones
from partline.geometry.lower_bound import least_possible
from partline.geometry.patches import patches, way_leads
from partline.geometry.paths import (
    PricedGraph,
    SurfacePath,
    bottleneck,
    cheapest_path,
    make_path,
    priced,
)
from partline.geometry.straighten import refined, straightened
from partline.geometry.surface import Floats, Surface
from partline.progress import Progress, silent, span

# Detail up to this is plain skin: the certificate does not drive the line about for less [1].
PLAIN = 0.25
# Detail that differs by less is alike: it does not drive the line about either [1].
_ALIKE = 0.05
# Where no line keeps the margin it keeps this share of the most that one can: the widest way of
# all may be a long way round.
_OF_WIDEST = 0.8


@dataclass(frozen=True, eq=False)
class Ground:
    """Where one line may run at best, before it is drawn.

    Attributes
    ----------
    corridor : Corridor
    worst_needed : float
        Every line in the corridor crosses detail of at least this [1].
    worst_place_mm : (3,) float64
        Where the least bad pass lies [mm].
    limit : float
        Detail that the line is allowed to cross [1].
    excused : (n,) bool
        Prized detail that lies right across every line, such as a bead all round the base (or,
        where one of several has to be crossed, in the way of the cheapest); the margin and the
        clearance are not taken from it, but to run close to it has its price.
    margin_mm : float
        How far it keeps from the other detail: the margin, or what of it a line can keep [mm].
    density : (n,) float64
        Cost per mm; infinite where it may not go [1].
    """

    corridor: Corridor
    worst_needed: float
    worst_place_mm: Floats
    limit: float
    excused: NDArray[np.bool_]
    margin_mm: float
    density: Floats


@dataclass(frozen=True, eq=False)
class Leg:
    """A part of a line, and the sets of vertices from and to which it was to lead.

    Attributes
    ----------
    sources, targets : (k,) int64
    path : SurfacePath
    """

    sources: NDArray[np.int64]
    targets: NDArray[np.int64]
    path: SurfacePath


@dataclass(frozen=True, eq=False)
class Route:
    """One line over the piece, from the rim up.

    Attributes
    ----------
    ground : Ground
    path : SurfacePath
    legs : tuple of Leg
        From the rim over the places to pass through to the end.
    gap : float
        By which share of its cost it may be dearer than the best one on its ground, proved; 1
        until it is worked out (see `proved`) [1].
    """

    ground: Ground
    path: SurfacePath
    legs: tuple[Leg, ...]
    gap: float = 1.0


def find_ground(
    plain: PricedGraph, skin: Skin, weights: Weights, corridor: Corridor, *, margin_mm: float
) -> Ground:
    """Return where a line in a corridor may run so that it crosses no worse than it must.

    First the worst detail that every line must cross is found (a certificate). The line may then
    cross nothing noticeably worse, or nothing worse than plain skin. It keeps the margin from
    prized detail; where no line can, four fifths of the most that one can.

    Raises
    ------
    NoPath
        If stay-off zones, or the corridor's own bounds, leave no line at all.
    """
    graph, surface = plain.graph, plain.graph.surface
    open_ = corridor.allowed & ~skin.zones.stay_off
    sources, targets = corridor.sources, corridor.targets
    cost = price(skin, margin_mm, weights, corridor.inward)
    worst, place = bottleneck(surface, np.where(open_, skin.detail, np.inf), sources, targets)
    if place < 0:
        raise walled_off(graph, corridor, skin.zones, open_)
    limit = max(worst + _ALIKE, PLAIN)
    open_ &= skin.detail <= limit
    rough = cheapest_path(
        priced(graph, np.where(open_, cost, np.inf)), sources, targets, names=_called(corridor)
    )
    excused = unavoidable(surface, skin.prized, open_, rough, sources, targets)
    clear = clearance_without(plain, skin, excused, margin_mm)
    off = np.where(open_, -np.minimum(clear, margin_mm), np.inf)
    widest = -bottleneck(surface, off, sources, targets)[0]
    margin = margin_mm if margin_mm <= widest else max(_OF_WIDEST * widest, 0.0)
    open_ &= clear >= margin
    return Ground(
        corridor=corridor,
        worst_needed=worst,
        worst_place_mm=surface.vertices[place],
        limit=limit,
        excused=excused,
        margin_mm=float(margin),
        density=np.where(open_, cost, np.inf),
    )


def draw_route(plain: PricedGraph, skin: Skin, ground: Ground) -> Route:
    """Return the cheapest line on its ground that touches every place to pass through.

    Places are taken from the lowest up; each leg is straightened by itself, so none is left.

    Raises
    ------
    NoPath
        If a place to pass through cannot be reached.
    """
    graph, density, corridor = plain.graph, ground.density, ground.corridor
    network = priced(graph, density)
    height = graph.surface.vertices[:, 2]
    places = [p[np.isfinite(density[p])] for p in skin.zones.pass_through]
    places = sorted((p for p in places if len(p)), key=lambda p: float(height[p].mean()))
    legs: list[Leg] = []
    start, before = corridor.sources, corridor.sources
    for stop in [*places, corridor.targets]:
        rough = cheapest_path(network, start, stop, names=_called(corridor))
        start = rough.ends[-1:, 0].astype(np.int64)
        leg = refined(network, rough)
        leg = straightened(graph.surface, density, leg, rings=3, per_edge=8, passes=1)
        legs.append(Leg(before, stop, leg))
        before = stop
    ends = np.concatenate([legs[0].path.ends, *(leg.path.ends[1:] for leg in legs[1:])])
    share = np.concatenate([legs[0].path.share, *(leg.path.share[1:] for leg in legs[1:])])
    return Route(ground, make_path(graph.surface, density, ends, share), tuple(legs))


def proved(plain: PricedGraph, route: Route, *, progress: Progress = silent) -> Route:
    """Return a route with its gap: what no line on its ground can be cheaper by.

    Leg by leg from set to set, in the order in which the places are passed.
    """
    least = sum(
        least_possible(
            plain.graph.surface,
            route.ground.density,
            leg.sources,
            leg.targets,
            known=leg.path.cost,
            progress=span(progress, k / len(route.legs), (k + 1) / len(route.legs)),
        )
        for k, leg in enumerate(route.legs)
    )
    cost = route.path.cost
    return replace(route, gap=max(1 - least / cost, 0.0) if cost > 0 else 0.0)


def unavoidable(
    surface: Surface,
    prized: NDArray[np.bool_],
    open_: NDArray[np.bool_],
    rough: SurfacePath,
    sources: NDArray[np.int64],
    targets: NDArray[np.int64],
) -> NDArray[np.bool_]:
    """Tell which prized detail no line can go round.

    Parameters
    ----------
    surface : Surface
    prized, open_ : (n,) bool
        Prized detail, and where the line may go.
    rough : SurfacePath
        The cheapest line without a margin: detail in every line's way is in its way too.
    sources, targets : (k,) int64
        Where lines begin and end.
    """
    patch = patches(surface, prized, seeds=np.unique(rough.ends))

    def way_round(detail: NDArray[np.bool_]) -> bool:
        return way_leads(surface, open_ & ~detail, sources, targets)

    excused = np.zeros(len(prized), dtype=bool)
    for number in range(int(patch.max()) + 1):
        one = patch == number
        if not way_round(one):
            excused |= one
    if not way_round(prized & ~excused):
        excused |= patch >= 0
    return excused


def missed(zones: Zones, route: Route) -> int:
    """Return how many of the places to pass through a route cannot touch."""
    return sum(not np.isfinite(route.ground.density[p]).any() for p in zones.pass_through)


def _called(corridor: Corridor) -> str:
    return f"the line {side_words(corridor.name)}"
