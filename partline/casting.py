"""A casting from a mould that is already there: grams, tips and moves, without any cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.job import Job
from partline.plan import Pour, pour_resin, read_scan, resin_of, stand_up
from partline.progress import Progress, silent, span
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
        Air and moves; None where only a volume was given.
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
    master = read_scan(job, span(progress, 0.0, 0.3))
    stand = stand_up(job, master, known, span(progress, 0.3, 0.5))
    pour = pour_resin(job, stand, known, span(progress, 0.5, 1.0))
    resin = resin_of(job, stand.cavity.volume_mm3, known)
    return Casting(resin, cast_bench(job, known, resin, holds_s=pour.holds_s), stand, pour)
