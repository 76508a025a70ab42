"""Weighing a layout: the cut that some routes make, with all its figures."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from partline.cut.bench import Bench
from partline.cut.cut import Cut
from partline.cut.how_far import at
from partline.cut.loops import rubber_loops, through
from partline.cut.measure import measured
from partline.cut.route import Route
from partline.cut.rubber import lip_strain, tearing_kj_m2
from partline.cut.saying import (
    bridge_words,
    certificate,
    loop_words,
    rubber_words,
    tearing_words,
    verdict,
)


def lips_of(bench: Bench, routes: Sequence[Route]) -> float:
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


def built(bench: Bench, routes: tuple[Route, ...]) -> Cut:
    """Return the cut made of some routes, with its figures."""
    depth, block = bench.depth, bench.stand.block_height_mm
    end = depth.marks.likely_mm if routes else bench.stand.seat_mm
    curve = depth.curve if routes else bench.rings.curve(bridges_cut=False)
    lines = tuple(
        measured(route, bench.skin, bench.plain, bench.rings, depth.marks, effort=bench.effort)
        for route in routes
    )
    snaking, straight = at(curve, end)
    lips = lips_of(bench, routes)
    # What pulls at the end of the cut: the lips laid open, or the ring that stays closed there.
    tearing = tearing_kj_m2(bench.shore_a, max(lips, snaking), bench.stand.wall_mm / 2)
    words = rubber_words(lips, len(routes), bench.shore_a)
    if routes:
        alone = tuple(b for b in depth.bridges if not any(through(b, hole) for hole in bench.holes))
        words += [*tearing_words(tearing), *bridge_words(alone, end)]
    loops = rubber_loops(bench.holes, [line.points for line in lines], depth.bridges)
    words += loop_words(loops, lines)
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
        lips=lips,
        loops=loops,
        tearing_kj_m2=tearing if routes else 0.0,
    )
