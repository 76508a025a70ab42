"""Moving vents by hand: where they end now, which one lies under the pointer, what is then said."""

from __future__ import annotations

import numpy as np

from partline.faces.figures import bubble
from partline.faces.workbench import in_file
from partline.geometry.surface import Floats
from partline.job import Job
from partline.plan import Plan


def vent_ends(plan: Plan) -> list[Floats]:
    """Return where the vents of a plan meet the piece, in the pose of the stand [mm]."""
    found = plan.resin_pour.vents
    return [] if found is None else [vent.place for vent in found.vents]


def vent_under(plan: Plan, origin: Floats, along: Floats, *, within_mm: float) -> int | None:
    """Return which vent a line of sight passes, anywhere along it; None for none.

    Parameters
    ----------
    origin, along : (3,) float64
        In the pose of the stand, `along` of unit length [mm].
    within_mm : float
        How near it must pass [mm].
    """
    found = plan.resin_pour.vents
    best: tuple[float, int | None] = (within_mm, None)
    for k, vent in enumerate(found.vents if found is not None else ()):
        rod = vent.place + np.linspace(0, 1, 24)[:, None] * (vent.exit - vent.place)
        away = rod - origin
        gap = np.linalg.norm(away - (away @ along)[:, None] * along, axis=1).min()
        if gap < best[0]:
            best = (float(gap), k)
    return best[1]


def vent_moved(plan: Plan, job: Job, which: int, place: Floats) -> Job:
    """Return a job that says where all vents of a plan end, one of them moved.

    Parameters
    ----------
    which : int
        Of the plan's vents.
    place : (3,) float64
        In the pose of the stand [mm].
    """
    ends = vent_ends(plan)
    ends[which] = place
    lift = np.array([0.0, 0.0, plan.stand.lift_mm])
    at = tuple(in_file(plan.master, end - lift) for end in ends)
    return job.model_copy(update={"vents": job.vents.model_copy(update={"at": at})})


def vents_freed(job: Job) -> Job:
    """Return a job whose vents go where the plan finds best."""
    return job.model_copy(update={"vents": job.vents.model_copy(update={"at": ()})})


def vent_hand_words(plan: Plan, job: Job) -> str:
    """Return in a sentence how vents are moved, or that they were; "" where there is none."""
    found = plan.resin_pour.vents
    if found is None or not found.vents:
        return ""
    if job.vents.at:
        return (f"The vents are where you set them; {bubble(found.after_mm3)} of air stays of "
                f"{bubble(found.before_mm3)}.")  # fmt: skip
    return "In the resin pour, drag a vent in the picture to another place on the piece."
