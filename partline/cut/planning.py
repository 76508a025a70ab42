"""Planning the cut: none, one or two lines, where, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from partline.cut.cost import Skin, Weights, skin_of
from partline.cut.cut import Cut
from partline.cut.demould import Demould, demould
from partline.cut.how_far import Depth, at, how_far
from partline.cut.layout import SECTORS, corridor, outside_of
from partline.cut.measure import measured
from partline.cut.route import PLAIN, Ground, Route, draw_route, find_ground
from partline.cut.rubber import EFFORT_STRAIN, HAND_STRAIN, lip_strain, working_strain
from partline.cut.saying import bridge_words, certificate, rubber_words, verdict
from partline.cut.zones import ZoneLike, laid_on
from partline.detail.detail_map import DetailMap
from partline.errors import JobError, NoPath
from partline.geometry.paths import PricedGraph, priced, surface_graph
from partline.progress import Progress, silent
from partline.stand.stand import Stand

# The layouts that are weighed: none, one up the back or on a side, two like a book.
# Heights that are tried for the end of the lines.
_ENDS = 4
LAYOUTS: tuple[tuple[str, ...], ...] = ((), ("back",), ("left",), ("right",), ("left", "right"))


@dataclass(frozen=True, eq=False)
class Bench:
    """All that every layout is weighed against.

    Attributes
    ----------
    stand : Stand
    rings : Demould
    depth : Depth
    plain : PricedGraph
        One mm per mm, the flat underside shut.
    skin : Skin
    weights : Weights
    margin_mm : float
        Distance that lines keep from prized detail [mm].
    working, elongation : float
        What the rubber bears each time, and at break [1].
    shore_a : float
    """

    stand: Stand
    rings: Demould
    depth: Depth
    plain: PricedGraph
    skin: Skin
    weights: Weights
    margin_mm: float
    working: float
    elongation: float
    shore_a: float


def plan_cut(
    stand: Stand,
    detail: DetailMap,
    *,
    cuts: Literal["auto"] | int = "auto",
    show: str = "front",
    margin_mm: float | None = None,
    zones: Sequence[ZoneLike] = (),
    shore_a: float = 20.0,
    elongation_percent: float = 350.0,
    working_share: float = 0.25,
    web_mm: float | None = None,
    weights: Weights | None = None,
    progress: Progress = silent,
) -> Cut:
    """Return where the knife goes, how far, and whether the piece then comes out.

    Parameters
    ----------
    stand : Stand
    detail : DetailMap
        Measured on `stand.piece`.
    cuts : "auto", 0, 1 or 2
        How many lines.
    show : str
        From where the piece is looked at: "front", "front and sides" or "all round".
    margin_mm : float, optional
        Distance to keep from prized detail; the lesser of 6 mm and a tenth of the height if left
        out. Halved by itself where no line keeps it [mm].
    zones : sequence
        Stay off / go here / pass through, in the coordinates or face numbers of the file.
    shore_a : float
        Hardness of the rubber.
    elongation_percent : float
        Its elongation at break [%].
    working_share : float
        Share of that which it is to bear at each pull [1].
    web_mm : float, optional
        Rubber to leave uncut below the far face; the wall if left out, never less [mm].
    weights : Weights, optional
        What makes a millimetre dearer.
    progress : Progress

    Raises
    ------
    JobError
        If `cuts`, `show` or a zone cannot be, or the detail is of another surface.
    NoPath
        If zones or the shape leave no line where one is asked for.
    StandError
        If the web leaves nothing to cut.
    """
    if cuts not in ("auto", 0, 1, 2) or isinstance(cuts, bool):
        raise JobError(f"The number of cuts can be auto, 0, 1 or 2; it is {cuts!r}.")
    working = working_strain(elongation_percent, working_share)
    height = stand.top_mm - stand.seat_mm
    margin = min(6.0, height / 10) if margin_mm is None else margin_mm
    if not margin >= 0:
        raise JobError(f"The margin must be 0 or more; it is {margin} mm.")
    progress(0.0, "measuring what must stretch")
    rings = demould(stand.piece, stand.seat_mm)
    depth = how_far(stand, rings, working=working, web_mm=web_mm)
    progress(0.15, "looking at the piece from where people stand")
    plain = priced(surface_graph(stand.piece), np.where(outside_of(stand), 1.0, np.inf))
    bench = Bench(
        stand=stand,
        rings=rings,
        depth=depth,
        plain=plain,
        skin=skin_of(plain, detail, laid_on(stand, zones), show=show),
        weights=weights or Weights(),
        margin_mm=margin,
        working=working,
        elongation=elongation_percent / 100,
        shore_a=shore_a,
    )
    bench, grounds, refused = _level_end(bench, progress)
    routes = {}
    for k, (name, ground) in enumerate(grounds.items()):
        progress(0.7 + 0.1 * k, f"drawing the line on the {name}")
        routes[name] = draw_route(bench.plain, bench.skin, ground)
    weighed = {
        layout: _built(bench, tuple(routes[name] for name in layout))
        for layout in LAYOUTS
        if all(name in routes for name in layout)
    }
    chosen = _chosen(bench, weighed, routes, refused, cuts)
    others = sorted(
        (cut for layout, cut in weighed.items() if layout != chosen), key=lambda cut: cut.cost
    )
    progress(1.0, "cut planned")
    best = weighed[chosen]
    return replace(
        best,
        words=(*best.words, *_why(bench, weighed, routes, chosen), *refused.values()),
        alternatives=tuple(others),
    )


def _grounds(bench: Bench, end_mm: float) -> tuple[dict[str, Ground], dict[str, str]]:
    """Return where a line may run on each side up to a height, and why not where it may not."""
    grounds, refused = {}, {}
    for name in SECTORS:
        try:
            way = corridor(bench.stand, bench.rings, name, end_mm)
            grounds[name] = find_ground(
                bench.plain, bench.skin, bench.weights, way, margin_mm=bench.margin_mm
            )
        except NoPath as error:
            refused[name] = str(error)
    return grounds, refused


def _level_end(bench: Bench, progress: Progress) -> tuple[Bench, dict[str, Ground], dict[str, str]]:
    """Return the bench with the height at which all lines end, and the ground up to there.

    Custom wants the lines to go on a little beyond what the stretch needs; they stop earlier, all
    at one height, where that keeps them clear of detail.
    """
    marks = bench.depth.marks
    ends = np.linspace(marks.likely_mm, bench.depth.needed_mm, _ENDS)
    best: tuple[float, float, dict[str, Ground], dict[str, str]] = (-np.inf, ends[0], {}, {})
    for k, end in enumerate(ends):
        progress(0.4 + 0.3 * k / _ENDS, "finding where lines may run")
        grounds, refused = _grounds(bench, float(end))
        pair = [grounds[name] for name in ("left", "right") if name in grounds]
        kept = min((g.margin_mm for g in pair or grounds.values()), default=-1.0)
        kept -= 0.0 if len(pair) == 2 else bench.margin_mm
        if kept > best[0]:
            best = (kept, float(end), grounds, refused)
        if kept >= bench.margin_mm or ends[-1] >= end:
            break
    _, end, grounds, refused = best
    return replace(bench, depth=bench.depth.ending(end)), grounds, refused


def _lips(bench: Bench, routes: Sequence[Route]) -> float:
    """Return the bending strain of the lips [1] of a block cut along some routes."""
    if not routes:
        return 0.0
    points = routes[0].path.points
    middle = np.interp(points[:, 2], bench.rings.levels, bench.rings.centre[:, 0])
    half = np.interp(points[:, 2], bench.rings.levels, bench.rings.half_width)
    out = np.clip(np.abs(points[:, 0] - middle) / np.maximum(half, 1e-9), 0.0, 1.0)
    end = bench.depth.marks.likely_mm
    opened = (bench.rings.levels <= end) & (bench.rings.narrow > 0)
    tight = int(np.argmax(np.where(opened, bench.rings.bridged, -1.0)))
    return lip_strain(
        count=len(routes),
        off_middle=float(np.mean(out)),
        narrow_mm=float(bench.rings.narrow[tight]),
        wide_mm=float(bench.rings.wide[tight]),
        across_mm=float(bench.stand.piece.extents[:2].max()),
        wall_mm=bench.stand.wall_mm,
        height_mm=end,
    )


def _built(bench: Bench, routes: tuple[Route, ...]) -> Cut:
    """Return the cut made of some routes, with its figures."""
    depth, block = bench.depth, bench.stand.block_height_mm
    end = depth.marks.likely_mm if routes else bench.stand.seat_mm
    curve = depth.curve if routes else bench.rings.curve(bridges_cut=False)
    lines = tuple(
        measured(route, bench.skin, bench.plain, bench.rings, depth.marks) for route in routes
    )
    snaking, straight = at(curve, end)
    words = rubber_words(_lips(bench, routes), len(routes), bench.shore_a)
    if routes:
        words += bridge_words(depth.bridges, end)
    words += [
        f"The line on the {g.corridor.name} keeps {g.margin_mm:.1f} mm from detail instead of "
        f"{bench.margin_mm:.1f} mm; no line there keeps more."
        for g in (route.ground for route in routes)
        if g.margin_mm < bench.margin_mm
    ]
    clear = [c for line in lines for c in (line.clearance_left_mm, line.clearance_right_mm)]
    return Cut(
        lines=lines,
        count=len(lines),
        length_mm=sum(line.length_mm for line in lines),
        clearance_mm=min(clear, default=np.inf),
        cost=sum(line.cost for line in lines),
        gap=max((route.gap for route in routes), default=0.0),
        stretch=snaking,
        stretch_straight=straight,
        working_strain=bench.working,
        web_mm=block - end,
        cleanup_min=sum(line.cleanup_min for line in lines),
        curve=curve,
        verdict=verdict(snaking, straight, working=bench.working, elongation=bench.elongation),
        certificate=certificate(routes),
        words=tuple(words),
        alternatives=(),
    )


def _chosen(
    bench: Bench,
    weighed: dict[tuple[str, ...], Cut],
    routes: dict[str, Route],
    refused: dict[str, str],
    cuts: Literal["auto"] | int,
) -> tuple[str, ...]:
    """Return the layout to use: the fewest cuts that open with ease, unless that costs detail."""
    singles = sorted(
        (layout for layout in weighed if len(layout) == 1), key=lambda one: weighed[one].cost
    )
    pair = next((layout for layout in weighed if len(layout) == 2), None)
    if cuts == 0:
        return ()
    if cuts == 1 and singles:
        return singles[0]
    if cuts == 2 and pair:
        return pair
    if cuts != "auto":
        raise NoPath(" ".join(refused.values()))
    hand = min(HAND_STRAIN, bench.working)
    if max(weighed[()].stretch, weighed[()].stretch_straight) <= hand:
        return ()
    if not singles and not pair:
        raise NoPath(" ".join(refused.values()))
    if not pair:
        return singles[0]
    margin = min(routes[name].ground.margin_mm for name in pair)
    rough = max(PLAIN, *(routes[name].ground.worst_needed for name in pair))
    for one in singles:
        ground, lips = routes[one[0]].ground, _lips(bench, [routes[one[0]]])
        rougher = ground.margin_mm < margin or ground.worst_needed > rough
        if lips <= hand and not rougher:
            return one
        if lips <= EFFORT_STRAIN and ground.margin_mm > margin:
            return one
    return pair


def _why(
    bench: Bench,
    weighed: dict[tuple[str, ...], Cut],
    routes: dict[str, Route],
    chosen: tuple[str, ...],
) -> tuple[str, ...]:
    """Return why not fewer cuts."""
    if not chosen:
        return ()
    none = weighed[()]
    worst = max(none.stretch, none.stretch_straight)
    said = [f"Uncut, the rubber would have to stretch by {worst:.0%}."]
    if len(chosen) > 1:
        least = min(_lips(bench, [route]) for route in routes.values())
        said.append(f"With one cut its lips would bend by at least {least:.0%} (estimate).")
    return tuple(said)
