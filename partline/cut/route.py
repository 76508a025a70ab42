"""The route of one line: nothing better anywhere, then the cheapest within that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.cut.cost import Skin, Weights, price
from partline.cut.layout import Corridor
from partline.geometry.paths import (
    SurfaceGraph,
    SurfacePath,
    bottleneck,
    cheapest_path,
    make_path,
    no_path,
    priced,
)
from partline.geometry.straighten import straightened
from partline.geometry.surface import Floats

# Detail up to this is plain skin: the certificate does not drive the line about for less [1].
PLAIN = 0.2
_HALVINGS = 4


@dataclass(frozen=True, eq=False)
class Route:
    """One line over the piece, from the rim up.

    Attributes
    ----------
    corridor : Corridor
    path : SurfacePath
    worst_needed : float
        Every line in the corridor crosses detail of at least this [1].
    worst_place_mm : (3,) float64
        Where the least bad pass lies [mm].
    limit : float
        Detail that this line was allowed to cross [1].
    margin_mm : float
        How far it was kept from prized detail: the margin, halved until a line existed [mm].
    density : (n,) float64
        Cost per mm under which it was found [1].
    gap : float
        What a band twice as wide with twice the points still saved, as a share of the cost [1].
    """

    corridor: Corridor
    path: SurfacePath
    worst_needed: float
    worst_place_mm: Floats
    limit: float
    margin_mm: float
    density: Floats
    gap: float


def find_route(
    graph: SurfaceGraph, skin: Skin, weights: Weights, corridor: Corridor, *, margin_mm: float
) -> Route:
    """Return the cheapest line in a corridor among those that cross no worse than they must.

    First the worst detail that every line must cross is found (a certificate). The line may then
    cross nothing worse, or nothing worse than plain skin. It keeps the margin from prized detail;
    where no line can, the margin is halved until one can.

    Raises
    ------
    NoPath
        If stay-off zones, or the corridor's own bounds, leave no line at all.
    """
    surface = graph.surface
    open_ = corridor.allowed & ~skin.zones.stay_off
    sources, targets = corridor.sources, corridor.targets
    cost = price(skin, margin_mm, weights, corridor.inward)
    worst, place = bottleneck(surface, np.where(open_, skin.detail, np.inf), sources, targets)
    if place < 0:
        shut = priced(graph, np.where(open_, 1.0, np.inf))
        raise no_path(shut, sources, targets, _called(corridor))
    limit = max(worst, PLAIN)
    open_ &= skin.detail <= limit
    off = np.where(open_, -np.minimum(skin.clear_mm, margin_mm), np.inf)
    widest = -bottleneck(surface, off, sources, targets)[0]
    margin = next((m for m in margin_mm * 0.5 ** np.arange(_HALVINGS) if m <= widest), 0.0)
    open_ &= skin.clear_mm >= margin
    density = np.where(open_, cost, np.inf)
    path, gap = _through_places(graph, skin, density, corridor)
    return Route(
        corridor=corridor,
        path=path,
        worst_needed=worst,
        worst_place_mm=surface.vertices[place],
        limit=limit,
        margin_mm=float(margin),
        density=density,
        gap=gap,
    )


def _called(corridor: Corridor) -> str:
    return f"the line on the {corridor.name}"


def _through_places(
    graph: SurfaceGraph, skin: Skin, density: Floats, corridor: Corridor
) -> tuple[SurfacePath, float]:
    """Return the cheapest path that touches every place to pass through, and its gap.

    Places are taken from the lowest up; each leg is straightened by itself, so none is left.
    """
    network = priced(graph, density)
    height = graph.surface.vertices[:, 2]
    places = [p[np.isfinite(density[p])] for p in skin.zones.pass_through]
    places = sorted((p for p in places if len(p)), key=lambda p: float(height[p].mean()))
    legs, start, saved = [], corridor.sources, 0.0
    for stop in [*places, corridor.targets]:
        rough = cheapest_path(network, start, stop, names=_called(corridor))
        start = rough.ends[-1:, 0].astype(np.int64)
        leg = straightened(graph.surface, density, rough)
        fine = straightened(graph.surface, density, leg, rings=3, per_edge=8, passes=1)
        saved += leg.cost - fine.cost
        legs.append(fine)
    ends = np.concatenate([legs[0].ends, *(leg.ends[1:] for leg in legs[1:])])
    share = np.concatenate([legs[0].share, *(leg.share[1:] for leg in legs[1:])])
    path = make_path(graph.surface, density, ends, share)
    return path, max(saved / path.cost, 0.0) if path.cost > 0 else 0.0
