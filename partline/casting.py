"""A casting from a mould that is already there: grams, tips, moves and vents, without any cut."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from partline.detail.relief import detail_map
from partline.errors import WorkshopError
from partline.job import Job
from partline.plan import Pour, read_scan, resin_of, stand_up
from partline.pouring import pour_resin
from partline.progress import Progress, silent, span
from partline.readying import ends_to_brush, least_face, vents_of
from partline.stand.stand import Stand
from partline.workshop.bench import CastBench, cast_bench
from partline.workshop.materials import defaults
from partline.workshop.resin import Resin


@dataclass(frozen=True, eq=False)
class Casting:
    """One casting.

    Attributes
    ----------
    resin : Resin
    bench : CastBench
    stand : Stand or None
        None where only a volume was given.
    pour : Pour or None
        Air, moves, vents and narrow ends to brush; None where only a volume was given.
    """

    resin: Resin
    bench: CastBench
    stand: Stand | None
    pour: Pour | None


def plan_casting(
    job: Job, *, volume_mm3: float | None = None, progress: Progress = silent
) -> Casting:
    """Return the grams, times and moves of one casting; no container, rubber or cut.

    Parameters
    ----------
    job : Job
    volume_mm3 : float, optional
        What the mould holds, reservoir included; then no scan is read and nothing is said of
        air [mm^3].
    progress : Progress

    Raises
    ------
    PartlineError
        Of whichever stage cannot do what the job asks.
    """
    known = defaults(job.shop.defaults)
    if volume_mm3 is not None:
        if not (math.isfinite(volume_mm3) and volume_mm3 > 0):
            raise WorkshopError(f"volume is {volume_mm3:g} mm³; it must be more than 0.")
        resin = resin_of(job, volume_mm3, known)
        return Casting(resin, cast_bench(job, known, resin), None, None)
    master = read_scan(job, span(progress, 0.0, 0.2))
    stand = stand_up(job, master, known, span(progress, 0.2, 0.35))
    detail = detail_map(
        stand.piece,
        made=stand.made_faces,
        finest_mm=known.value("detail.finest_mm"),
        progress=span(progress, 0.35, 0.5),
    )
    pour = pour_resin(job, stand, known, span(progress, 0.5, 0.9), detail=detail)
    brush = ends_to_brush(stand, known, detail=detail, progress=span(progress, 0.9, 0.92))
    # The block that is there is not known: a vent leaves the least one by its mouth face too.
    vents = vents_of(job, stand, least_face(stand), pour, detail, known, span(progress, 0.92, 1.0))
    pour = replace(pour, brush_first=brush, vents=vents)
    resin = resin_of(job, stand.cavity.volume_mm3, known)
    bench = cast_bench(job, known, resin, holds_s=pour.holds_s, narrow_ends=len(pour.narrow_ends))
    return Casting(resin, bench, stand, replace(pour, brush_in_time=bench.brushed))
