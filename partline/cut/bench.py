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
from partline.cut.seen import Spots
from partline.errors import JobError, NoPath
from partline.geometry.cores import in_parts
from partline.geometry.paths import PricedGraph
from partline.progress import Progress, span
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
    spots : Spots
        From where it is looked out over the piece.
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
    spots: Spots


def _ground(bench: Bench, name: str, end_mm: float) -> Ground | NoPath:
    """Return where a line may run on one side up to a height, or why it may not."""
    zones = bench.skin.zones
    try:
        way = corridor(bench.stand, bench.rings, name, end_mm,
                       starts=zones.starts, ends=zones.ends)  # fmt: skip
        return find_ground(bench.plain, bench.skin, bench.weights, way, margin_mm=bench.margin_mm)
    except NoPath as error:
        return error


def _grounds(
    bench: Bench, end_mm: float, progress: Progress
) -> tuple[dict[str, Ground], dict[str, str]]:
    """Return where a line may run on each side up to a height, and why not where it may not."""
    sides, words = tuple(SECTORS), "finding where lines may run"
    progress(0.0, words)
    found = in_parts(lambda k, _: _ground(bench, sides[k], end_mm), len(sides), 1,
                     progress=progress, words=words)  # fmt: skip
    each = dict(zip(sides, found, strict=True))
    grounds = {name: one for name, one in each.items() if isinstance(one, Ground)}
    return grounds, {name: str(one) for name, one in each.items() if isinstance(one, NoPath)}


def _said_end(bench: Bench) -> float | None:
    """Return the height at which the lines were told to end [mm]; None where they were not.

    Raises
    ------
    JobError
        If nothing can be cut to there.
    """
    end, seat, never = bench.skin.zones.end_mm, bench.stand.seat_mm, bench.depth.marks.never_past_mm
    if end is not None and not seat < end <= never + 0.05:
        raise JobError(
            f"The cut is told to end {end:.1f} mm below the mouth face; it can end between "
            f"{seat:.1f} and {never:.1f} mm, beyond which the web is thinner than the wall. Move "
            "the end."
        )
    return None if end is None else min(end, never)


def level_end(bench: Bench, progress: Progress) -> tuple[Bench, dict[str, Ground], dict[str, str]]:
    """Return the bench with the height at which all lines end, and the ground up to there.

    Custom wants the lines to go on a little beyond what the stretch needs; they stop earlier, all
    at one height, where that keeps them clear of detail.
    """
    marks, said = bench.depth.marks, _said_end(bench)
    ends = np.linspace(marks.likely_mm, bench.depth.needed_mm, _ENDS)
    ends = ends if said is None else np.array([said])
    best: tuple[float, float, dict[str, Ground], dict[str, str]] = (-np.inf, ends[0], {}, {})
    for k, end in enumerate(ends):
        part = span(progress, 0.4 + 0.25 * k / _ENDS, 0.4 + 0.25 * (k + 1) / _ENDS)
        grounds, refused = _grounds(bench, float(end), part)
        pair = [grounds[name] for name in ("left", "right") if name in grounds]
        kept = min((g.margin_mm for g in pair or grounds.values()), default=-1.0)
        kept -= 0.0 if len(pair) == 2 else bench.margin_mm
        if kept > best[0]:
            best = (kept, float(end), grounds, refused)
        if kept >= bench.margin_mm or ends[-1] >= end:
            break
    _, end, grounds, refused = best
    return replace(bench, depth=bench.depth.ending(end)), grounds, refused
