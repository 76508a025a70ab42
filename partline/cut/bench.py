"""All that every layout is weighed against, and the ground on which its lines may run."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from partline.cut.cleanup import Effort
from partline.cut.cost import Skin, Weights
from partline.cut.demould import Demould
from partline.cut.how_far import Depth
from partline.cut.layout import SECTORS, corridor
from partline.cut.loops import Hole
from partline.cut.route import Ground, find_ground
from partline.errors import NoPath
from partline.geometry.paths import PricedGraph
from partline.progress import Progress
from partline.stand.stand import Stand

# Heights that are tried for the end of the lines.
_ENDS = 4


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
    effort : Effort
        Minutes of clean-up per mm.
    holes : tuple of Hole
        Through the piece, widest first.
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
    effort: Effort
    holes: tuple[Hole, ...]


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


def level_end(bench: Bench, progress: Progress) -> tuple[Bench, dict[str, Ground], dict[str, str]]:
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
