"""Planning the cut: none, one or two lines, where, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from partline.cut.alternatives import corridor_mm, set_apart
from partline.cut.bench import Bench, level_end
from partline.cut.choosing import OVER_FLOOR, Cuts, chosen_of, told, why
from partline.cut.cleanup import Effort
from partline.cut.cost import Weights
from partline.cut.cut import Cut
from partline.cut.layout import bearings
from partline.cut.over_floor import over_floor
from partline.cut.pits import pits
from partline.cut.readying import ready_bench
from partline.cut.route import Ground, Route, draw_route, proved
from partline.cut.saying import idle_words, pit_words
from partline.cut.weighing import built
from partline.cut.zones import ZoneLike
from partline.detail.detail_map import DetailMap
from partline.errors import JobError, NoPath
from partline.geometry.cores import in_parts
from partline.progress import Progress, silent, span
from partline.stand.stand import Stand

# The layouts that are weighed: none, one up the back or on a side, two like a book.
LAYOUTS: tuple[tuple[str, ...], ...] = ((), ("back",), ("left",), ("right",), ("left", "right"))


def plan_cut(
    stand: Stand,
    detail: DetailMap,
    *,
    cuts: Cuts = "auto",
    sides: Sequence[str] = (),
    show: str = "front",
    margin_mm: float | None = None,
    zones: Sequence[ZoneLike] = (),
    shore_a: float = 20.0,
    elongation_percent: float = 350.0,
    working_share: float = 0.25,
    web_mm: float | None = None,
    weights: Weights | None = None,
    effort: Effort | None = None,
    prove: bool = True,
    progress: Progress = silent,
) -> Cut:
    """Return where the knife goes, how far, and whether the piece then comes out.

    Parameters
    ----------
    stand : Stand
    detail : DetailMap
        Measured on `stand.piece`.
    cuts : "auto", 0, 1, 2 or "over the floor"
        How many lines; or one that goes on over the floor of the mould, hinged on the other side.
    sides : sequence of str
        On which sides, "back", "left" or "right", or "left" and "right"; wherever is best if
        left out.
    show : str
        From where the piece is looked at: "front", "front and sides" or "all round".
    margin_mm : float, optional
        Distance to keep from prized detail; the lesser of 6 mm and a tenth of the height if left
        out. Relaxed by itself where no line keeps it [mm].
    zones : sequence
        Stay off, go here, pass through, start here or end here, in the coordinates or face
        numbers of the file.
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
    effort : Effort, optional
        Minutes of clean-up per mm of parting line.
    prove : bool
        Work out `Cut.gap`, which takes some seconds; 1 (nothing proved) if not.
    progress : Progress

    Raises
    ------
    JobError
        If `cuts`, `sides`, `show` or a zone cannot be, or the detail is of another surface.
    NoPath
        If zones or the shape leave no line where one is asked for.
    StandError
        If the web leaves nothing to cut.
    """
    if cuts not in ("auto", 0, 1, 2, OVER_FLOOR) or isinstance(cuts, bool):
        raise JobError(
            f"The number of cuts can be auto, 0, 1, 2 or '{OVER_FLOOR}'; it is {cuts!r}."
        )
    if tuple(sides) not in LAYOUTS:
        raise JobError(
            f"Lines run on the back, the left or the right, or on the left and the right; "
            f"{', '.join(sides)} cannot be."
        )
    bench = ready_bench(
        stand,
        detail,
        show=show,
        margin_mm=margin_mm,
        zones=zones,
        shore_a=shore_a,
        elongation_percent=elongation_percent,
        working_share=working_share,
        web_mm=web_mm,
        weights=weights,
        effort=effort,
        progress=span(progress, 0.0, 0.4),
    )
    return _weighed(bench, cuts, tuple(sides), prove, progress)


def _weighed(
    bench: Bench, cuts: Cuts, sides: tuple[str, ...], prove: bool, progress: Progress
) -> Cut:
    """Return the cut to make, every layout having been weighed."""
    bench, grounds, refused = level_end(bench, progress)
    _reachable(bench, grounds)
    routes = _drawn(bench, grounds, span(progress, 0.65, 0.85))
    weighed = {}
    for k, layout in enumerate(LAYOUTS):
        progress(0.85 + 0.006 * k, "weighing the lines")
        if all(name in routes for name in layout):
            weighed[layout] = built(bench, tuple(routes[name] for name in layout))
    drawn = {layout: tuple(routes[name] for name in layout) for layout in weighed}
    lines = [] if cuts == OVER_FLOOR else [route.path.points for route in routes.values()]
    try:
        weighed[(OVER_FLOOR,)], over = over_floor(
            bench, apart_from=lines, progress=span(progress, 0.88, 0.92)
        )
        drawn[(OVER_FLOOR,)] = (over,)
    except NoPath as error:
        refused[OVER_FLOOR] = str(error)
    chosen = told(weighed, refused, sides) or chosen_of(bench, weighed, routes, refused, cuts)
    progress(0.92, "drawing lines that run elsewhere")
    others = _others(bench, weighed, routes, chosen)
    deep = pits(bench.stand.piece, progress=span(progress, 0.95, 0.97))
    progress(0.97, "proving how near the best the line is")
    many = max(len(drawn[chosen]), 1)
    gaps = [
        proved(bench.plain, r, progress=span(progress, 0.97 + 0.02 * k / many,
                                             0.97 + 0.02 * (k + 1) / many)).gap if prove else r.gap
        for k, r in enumerate(drawn[chosen])
    ]  # fmt: skip
    best = weighed[chosen]
    progress(1.0, "cut planned")
    return replace(
        best,
        words=(
            *best.words,
            *why(bench, weighed, routes, chosen),
            *idle_words(bench, list(drawn[chosen])),
            *pit_words(deep, bench.working),
            *refused.values(),
        ),
        alternatives=others,
        corridor_mm=corridor_mm(bench),
        gap=max(gaps, default=0.0),
        pits=deep,
    )


def _drawn(bench: Bench, grounds: dict[str, Ground], progress: Progress) -> dict[str, Route]:
    """Return the line on each side."""
    each, words = list(grounds.values()), "drawing the lines"
    progress(0.0, words)
    found = in_parts(lambda k, _: draw_route(bench.plain, bench.skin, each[k]), len(each), 1,
                     progress=progress, words=words)  # fmt: skip
    return dict(zip(grounds, found, strict=True))


def _reachable(bench: Bench, grounds: dict[str, Ground]) -> None:
    """Check that each place to pass through lies where some line may run.

    Raises
    ------
    NoPath
        If one does not.
    """
    for place in bench.skin.zones.pass_through if grounds else ():
        if any(np.isfinite(ground.density[place]).any() for ground in grounds.values()):
            continue
        middle = bench.stand.piece.vertices[place].mean(axis=0)
        x, y, z = (round(float(v)) for v in middle)
        over = bench.skin.zones.shut_by[place]
        if over.all():
            raise NoPath(
                f"The place to pass through near {x}, {y}, {z} mm lies within stay-off zone "
                f"{over[0]}: no line keeps to both. Move one of them, or make the zone smaller."
            )
        way = round(float(bearings(middle[None], bench.rings)[0])) % 360
        raise NoPath(
            f"No line can pass through the place near {x}, {y}, {z} mm: it lies {way} degrees "
            f"round from the front mark, on detail of {bench.skin.detail[place].min():.2f} of 1 "
            "or more, and lines run on the back and the sides only, below "
            f"{bench.depth.marks.likely_mm:.0f} mm and over no worse detail than they must. "
            "Move the place, or turn the front."
        )


def _others(
    bench: Bench,
    weighed: dict[tuple[str, ...], Cut],
    routes: dict[str, Route],
    chosen: tuple[str, ...],
) -> tuple[Cut, ...]:
    """Return the other cuts, cheapest first: those of as many lines run in other corridors."""
    found = [
        cut
        for layout, cut in weighed.items()
        if layout != chosen and (len(layout) != 1 or layout == (OVER_FLOOR,))
    ]
    mine = {name: routes[name] for name in chosen if name in routes} if len(chosen) == 1 else {}
    apart = set_apart(bench, routes, first=mine)
    found += [
        weighed[(name,)] if route is routes[name] else replace(built(bench, (route,)), led=True)
        for name, route in apart.items()
        if (name,) != chosen
    ]
    return tuple(sorted(found, key=lambda cut: cut.cost))
