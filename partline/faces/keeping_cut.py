"""Keeping a cut that was weighed and not chosen, or leaving the choice to the plan again."""

from __future__ import annotations

import numpy as np

from partline.cut.choosing import OVER_FLOOR
from partline.cut.cut import CutLine
from partline.faces.leading import led_to, unled
from partline.geometry.surface import Floats
from partline.job import Job, ZonePart
from partline.plan import Plan

# Where along a line that is led it is held fast, in shares of its length: enough that the cheapest
# way from each to the next is the line itself.
_SHARES = (0.25, 0.5, 0.75)


def kept_cut(plan: Plan, job: Job, which: int) -> Job:
    """Return a job that asks for one of the alternatives of a plan's cut.

    Its count and its side are put down; a line that was led round the others is held fast at its
    ends and at three places between them as well.

    Parameters
    ----------
    plan : Plan
    job : Job
        As said now.
    which : int
        Of `plan.cut.alternatives`.
    """
    one = plan.cut.alternatives[which]
    over = any(line.over is not None for line in one.lines)
    sides = tuple(line.side for line in one.lines) if one.count == 1 and not over else ()
    zones = unled(job.zones)
    if one.led:
        zones += tuple(zone for line in one.lines for zone in _held_fast(plan, line))
    cut = job.cut.model_copy(update={"cuts": OVER_FLOOR if over else one.count, "sides": sides})
    return job.model_copy(update={"cut": cut, "zones": zones})


def _held_fast(plan: Plan, line: CutLine) -> tuple[ZonePart, ...]:
    points = line.points
    middle = [led_to(plan, "pass through", place) for place in _along(points)]
    return (led_to(plan, "start here", points[0]), *middle, led_to(plan, "end here", points[-1]))


def _along(points: Floats) -> Floats:
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(step)])
    at = along[-1] * np.array(_SHARES)
    return np.column_stack([np.interp(at, along, points[:, k]) for k in range(3)])


def unkept_cut(job: Job) -> Job:
    """Return a job whose lines run where the plan finds best: as many, and led by nothing."""
    cut = job.cut.model_copy(update={"sides": ()})
    return job.model_copy(update={"cut": cut, "zones": unled(job.zones)})


def led_at_all(job: Job) -> bool:
    """Tell whether a job says anything of where its lines run."""
    return bool(job.cut.sides) or unled(job.zones) != job.zones
