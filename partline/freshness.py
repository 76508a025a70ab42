"""What of an earlier plan still holds for a job: the stages whose every input is the same."""

from __future__ import annotations

from typing import Any

from partline.job import Job

STAGES = ("piece", "stand", "detail", "air", "cut", "weigh")
"""In the order of the line; a stage holds only if those it builds on hold."""

_NEEDS = {
    "piece": (),
    "stand": ("piece",),
    "detail": ("stand",),
    "air": ("stand",),
    "cut": ("stand", "detail"),
    "weigh": ("stand", "cut"),
}


def still_holding(earlier: Job, job: Job) -> frozenset[str]:
    """Return the `STAGES` of a plan made for one job that hold for another.

    The scan's file is taken to be the same as long as its name is.

    Parameters
    ----------
    earlier : Job
        The job the plan was made for.
    job : Job
        The job as it is said now.
    """
    before, now = _inputs(earlier), _inputs(job)
    holding: set[str] = set()
    for stage in STAGES:
        if before[stage] == now[stage] and holding.issuperset(_NEEDS[stage]):
            holding.add(stage)
    return frozenset(holding)


def _inputs(job: Job) -> dict[str, Any]:
    """Return what each stage takes from the job itself."""
    stand, rubber, known = job.stand, job.rubber, job.shop.defaults
    return {
        "piece": job.scan,
        "stand": (stand.model_copy(update={"show": "front", "container": None,
                                           "master_density": None}), known),
        "detail": known,
        # How long moves are held hangs on the resin.
        "air": (job.resin.kind, job.resin.density, known),
        # How the knife ends at the piece moves neither the line nor the marks.
        "cut": (job.cut.model_copy(update={"next_to_piece": "smooth"}), job.zones,
                stand.show, rubber.kind, rubber.shore_a, rubber.elongation_percent, known),
        "weigh": (stand, rubber, job.resin, job.vents, job.shelf, job.shop, job.run, job.rates,
                  job.cut, job.name),
    }  # fmt: skip
