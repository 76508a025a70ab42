"""Other cuts that truly differ: another count, or lines that run elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from partline.cut.bench import Bench
from partline.cut.cost import HAND_MM
from partline.cut.cut import Cut
from partline.cut.layout import corridor
from partline.cut.route import Route, draw_route, find_ground
from partline.errors import NoPath
from partline.geometry.surface import Floats

# Lines that share more than this of their corridor are the same line [1].
SHARED = 0.25


@dataclass(frozen=True)
class CutRow:
    """One cut in the table of alternatives.

    Attributes
    ----------
    name : str
        "no cut", or where its lines run.
    count : int
    chosen : bool
    length_mm : float
    worst_detail : float
        Greatest detail weight that a line crosses, 0 to 1.
    closest_left_mm, closest_right_mm : float
        Least distance of any line to detail on either side; inf where there is none [mm].
    share_on_show : float
        Share of the whole length that is seen, 0 to 1.
    cleanup_min : float
        For one casting [min].
    stretch, stretch_straight : float
        Left at the "likely" mark, snaking and straight [1].
    lips : float
        Bending of the lips [1].
    web_mm : float
    cost : float
        In mm of plain skin [mm].
    shared : float
        Share of its corridor that lies in those of the rows above of its kind (as many lines, over
        the floor or not), 0 to 1; 0 for the first of its kind.
    """

    name: str
    count: int
    chosen: bool
    length_mm: float
    worst_detail: float
    closest_left_mm: float
    closest_right_mm: float
    share_on_show: float
    cleanup_min: float
    stretch: float
    stretch_straight: float
    lips: float
    web_mm: float
    cost: float
    shared: float


def shared(one: Sequence[Floats], other: Sequence[Floats], within_mm: float) -> float:
    """Return the share of the length of some lines that lies within a distance of others [1]."""
    if not one or not other:
        return 0.0
    mine, theirs = (np.concatenate([_even(line) for line in lines]) for lines in (one, other))
    away, _ = cKDTree(theirs).query(mine)
    return float(np.mean(away <= within_mm))


def _even(line: Floats, step: float = 0.5) -> Floats:
    """Return points at even steps along a line."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.linspace(0.0, along[-1], max(int(along[-1] / step), 1) + 1)
    return np.column_stack([np.interp(at, along, line[:, k]) for k in range(3)])


def corridor_mm(bench: Bench) -> float:
    """Return half the width of a line's corridor: the margin, and more than a hand strays [mm]."""
    return max(bench.margin_mm, HAND_MM)


def set_apart(
    bench: Bench, routes: dict[str, Route], *, first: dict[str, Route]
) -> dict[str, Route]:
    """Return one route a side, the cheapest first, drawn anew where it shares another's corridor.

    One that has nowhere else to run is left out; those in `first` stay as they are.
    """
    kept = dict(first)
    half = corridor_mm(bench)
    for name, route in sorted(routes.items(), key=lambda item: item[1].path.cost):
        if name in kept:
            continue
        others = [r.path.points for r in kept.values()]
        if shared([route.path.points], others, half) >= SHARED:
            moved = _beside(bench, name, others, half)
            if moved is None or shared([moved.path.points], others, half) >= SHARED:
                continue
            route = moved
        kept[name] = route
    return kept


def _beside(bench: Bench, name: str, others: Sequence[Floats], half_mm: float) -> Route | None:
    """Return the best route on one side outside the corridors of others; None if there is none."""
    taken = np.concatenate([_even(line) for line in others])
    reach = float(np.nextafter(half_mm, np.inf))
    away, _ = cKDTree(taken).query(bench.stand.piece.vertices, distance_upper_bound=reach)
    off = bench.skin.zones.stay_off | (away <= half_mm)
    skin = replace(bench.skin, zones=replace(bench.skin.zones, stay_off=off))
    try:
        way = corridor(bench.stand, bench.rings, name, bench.depth.marks.likely_mm)
        ground = find_ground(bench.plain, skin, bench.weights, way, margin_mm=bench.margin_mm)
        return draw_route(bench.plain, skin, ground)
    except NoPath:
        return None


def cut_rows(cut: Cut) -> tuple[CutRow, ...]:
    """Return the table of a cut and its alternatives, the chosen one first."""
    rows: list[CutRow] = []
    seen: dict[tuple[int, bool], list[Floats]] = {}
    for k, one in enumerate((cut, *cut.alternatives)):
        mine = [line.points for line in one.lines]
        kind = (one.count, any(line.over for line in one.lines))
        rows.append(_row(one, k == 0, shared(mine, seen.get(kind, []), cut.corridor_mm)))
        seen.setdefault(kind, []).extend(mine)
    return tuple(rows)


def _row(cut: Cut, chosen: bool, alike: float) -> CutRow:
    lines = cut.lines
    on_show = sum(line.share_on_show * line.length_mm for line in lines)
    sides = {"back": "up the back", "left": "on the left", "right": "on the right"}
    names = [
        sides.get(line.side, "one line") + " and over the floor" * (line.over is not None)
        for line in lines
    ]
    return CutRow(
        name=" and ".join(names) or "no cut",
        count=cut.count,
        chosen=chosen,
        length_mm=cut.length_mm,
        worst_detail=max((line.worst_detail for line in lines), default=0.0),
        closest_left_mm=min((line.clearance_left_mm for line in lines), default=np.inf),
        closest_right_mm=min((line.clearance_right_mm for line in lines), default=np.inf),
        share_on_show=on_show / cut.length_mm if cut.length_mm > 0 else 0.0,
        cleanup_min=cut.cleanup_min,
        stretch=cut.stretch,
        stretch_straight=cut.stretch_straight,
        lips=cut.lips,
        web_mm=cut.web_mm,
        cost=cut.cost,
        shared=alike,
    )
