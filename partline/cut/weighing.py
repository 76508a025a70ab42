"""Weighing a layout: the cut that some routes make, with all its figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from partline.cut.bench import Bench
from partline.cut.cut import Cut, OverFloor
from partline.cut.demould import Demould
from partline.cut.how_far import Depth, at
from partline.cut.layout import side_words
from partline.cut.loops import rubber_loops, through
from partline.cut.measure import measured
from partline.cut.route import Route
from partline.cut.rubber import lip_strain, tearing_kj_m2
from partline.cut.saying import (
    bridge_words,
    certificate,
    loop_words,
    over_words,
    rubber_words,
    stray_words,
    tearing_words,
    verdict,
)


@dataclass(frozen=True, eq=False)
class Opened:
    """How a cut opens the block: from the mouth up, or over the floor of the mould.

    Attributes
    ----------
    rings : Demould
        Rings of rubber along the way of the cut.
    depth : Depth
    end_mm : float
        Where on that way it ends [mm].
    web_mm : float
        Rubber left whole beyond its end [mm].
    across_mm : float
        Width of the piece across the cut [mm].
    reach_mm : float
        From where the block is opened to the end of the cut [mm].
    over : OverFloor or None
    """

    rings: Demould
    depth: Depth
    end_mm: float
    web_mm: float
    across_mm: float
    reach_mm: float
    over: OverFloor | None = None


def from_mouth(bench: Bench) -> Opened:
    """Return how lines that go from the mouth up open the block."""
    end = bench.depth.marks.likely_mm
    return Opened(
        rings=bench.rings,
        depth=bench.depth,
        end_mm=end,
        web_mm=bench.stand.block_height_mm - end,
        across_mm=float(bench.stand.piece.extents[:2].max()),
        reach_mm=end,
    )


def uncut(bench: Bench) -> Opened:
    """Return the block as it is."""
    whole = replace(bench.depth, curve=bench.rings.curve(bridges_cut=False))
    return replace(
        from_mouth(bench),
        depth=whole,
        end_mm=bench.stand.seat_mm,
        web_mm=bench.stand.block_height_mm - bench.stand.seat_mm,
    )


def lips_of(bench: Bench, routes: Sequence[Route], opened: Opened | None = None) -> float:
    """Return the bending strain of the lips [1] of a block cut along some routes."""
    if not routes:
        return 0.0
    o = opened or from_mouth(bench)
    off = 0.0
    if o.over is None:
        points = routes[0].path.points
        middle = np.interp(points[:, 2], o.rings.levels, o.rings.centre[:, 0])
        half = np.interp(points[:, 2], o.rings.levels, o.rings.half_width)
        out = np.abs(points[:, 0] - middle) / np.maximum(half, 1e-9)
        off = float(np.mean(np.clip(out, 0.0, 1.0)))
    open_ = (o.rings.levels <= o.end_mm) & (o.rings.narrow > 0)
    tight = int(np.argmax(np.where(open_, o.rings.bridged, -1.0)))
    return lip_strain(
        count=len(routes),
        off_middle=off,
        narrow_mm=float(o.rings.narrow[tight]),
        wide_mm=float(o.rings.wide[tight]),
        across_mm=o.across_mm,
        wall_mm=bench.stand.wall_mm,
        height_mm=o.reach_mm,
    )


def built(bench: Bench, routes: tuple[Route, ...], opened: Opened | None = None) -> Cut:
    """Return the cut made of some routes, with its figures."""
    o = opened or (from_mouth(bench) if routes else uncut(bench))
    lines = tuple(
        measured(
            route, bench.skin, bench.plain, bench.rings, o.depth.marks,
            effort=bench.effort, over=o.over,
        )
        for route in routes
    )  # fmt: skip
    snaking, straight = at(o.depth.curve, o.end_mm)
    lips = lips_of(bench, routes, o)
    # What pulls at the end of the cut: the lips laid open, or the ring that stays closed there.
    tearing = tearing_kj_m2(bench.shore_a, max(lips, snaking), bench.stand.wall_mm / 2)
    words = rubber_words(lips, len(routes), bench.shore_a)
    if o.over is not None:
        words = [over_words(o.over), *words]
    if routes:
        words += tearing_words(tearing)
        bridges = o.depth.bridges if o.over is None else ()
        alone = tuple(b for b in bridges if not any(through(b, hole) for hole in bench.holes))
        words += bridge_words(alone, o.end_mm)
    loops = rubber_loops(bench.holes, [line.points for line in lines], bench.depth.bridges)
    words += loop_words(loops, lines)
    words += [
        f"The line {side_words(g.corridor.name)} keeps {g.margin_mm:.1f} mm from detail instead of "
        f"{bench.margin_mm:.1f} mm; no line there keeps more."
        for g in (route.ground for route in routes)
        if g.margin_mm < bench.margin_mm
    ]
    words += stray_words([route.ground.corridor for route in routes])
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
        web_mm=o.web_mm,
        cleanup_min=sum(line.cleanup_min for line in lines),
        curve=o.depth.curve,
        verdict=verdict(
            snaking,
            straight,
            working=bench.working,
            elongation=bench.elongation,
            uncut=not routes,
        ),
        certificate=certificate(routes),
        words=tuple(words),
        alternatives=(),
        lips=lips,
        loops=loops,
        tearing_kj_m2=tearing if routes else 0.0,
    )
