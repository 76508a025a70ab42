"""The cut that a job asks for, and the bench that it is weighed on."""

from __future__ import annotations

from typing import Any

from partline.cut.bench import Bench
from partline.cut.cleanup import Effort
from partline.cut.cut import Cut
from partline.cut.planning import plan_cut
from partline.cut.readying import ready_bench
from partline.detail.detail_map import DetailMap
from partline.job import Job
from partline.progress import Progress, silent
from partline.stand.stand import Stand
from partline.workshop.materials import Defaults


def cut_of(
    job: Job, stand: Stand, detail: DetailMap, known: Defaults, progress: Progress = silent
) -> Cut:
    """Return the cut of a job, see `partline.cut.planning.plan_cut`."""
    sides = tuple(sorted(job.cut.sides))
    cuts = len(sides) if sides else job.cut.cuts
    return plan_cut(stand, detail, cuts=cuts, sides=sides, progress=progress,
                    **_terms(job, stand, known))  # fmt: skip


def bench_of_cut(
    job: Job, stand: Stand, detail: DetailMap, known: Defaults, progress: Progress = silent
) -> Bench:
    """Return what the cuts of a job are weighed against."""
    return ready_bench(stand, detail, progress=progress, **_terms(job, stand, known))


def of_rubber(job: Job, known: Defaults, name: str) -> float:
    """Return what the job states of its rubber, or the default of that kind."""
    said: float | None = getattr(job.rubber, name)
    return float(known.of_kind("rubber", job.rubber.kind)[name].value if said is None else said)


def _terms(job: Job, stand: Stand, known: Defaults) -> dict[str, Any]:
    return {
        "show": job.stand.show,
        "margin_mm": job.cut.margin_mm,
        "zones": job.zones,
        "shore_a": of_rubber(job, known, "shore_a"),
        "elongation_percent": of_rubber(job, known, "elongation_percent"),
        "working_share": known.value("cut.working_strain_share"),
        "web_mm": max(stand.wall_mm, known.value("cut.web_mm")),
        "effort": Effort(
            plain=known.value("finish.seam_min_per_10mm") / 10,
            texture=known.value("finish.seam_texture_min_per_10mm") / 10,
            face=known.value("finish.seam_face_min_per_10mm") / 10,
            hard_edge=known.value("finish.seam_hard_edge_share"),
        ),
    }
