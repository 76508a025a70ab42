"""Mouths side by side: each in words, where it lies, and the job that takes it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from partline.faces.figures import System, bubble, count, length
from partline.faces.words import detail_grade
from partline.geometry.surface import Floats
from partline.job import Job, MouthPart
from partline.large_scan import work_on
from partline.mouths import MouthRow, compare_mouths
from partline.plan import Plan
from partline.progress import Progress, silent


@dataclass(frozen=True, eq=False)
class Compared:
    """Mouths that were compared, and the job they were compared for, whatever its mouth.

    Attributes
    ----------
    job : Job
    rows : tuple of MouthRow
    """

    job: Job
    rows: tuple[MouthRow, ...]

    def holds(self, job: Job) -> bool:
        """Tell whether the comparison still holds for a job."""
        return _but_mouth(self.job) == _but_mouth(job)


def compared(job: Job, progress: Progress = silent) -> Compared:
    """Compare the mouth of a job with others; see `partline.mouths.compare_mouths`."""
    return Compared(job, work_on(job.scan.file, compare_mouths, job, progress=progress))


def _but_mouth(job: Job) -> Job:
    stand = job.stand.model_copy(update={"mouth": MouthPart()})
    return Job(name=job.name, scan=job.scan, stand=stand, zones=job.zones, cut=job.cut,
               rubber=job.rubber)  # fmt: skip


def mouth_lines(rows: tuple[MouthRow, ...], system: System) -> list[str]:
    """Return a few lines for each mouth; figures of air are exact, the others estimates."""
    return [f"{k + 1}. {row.name[:1].upper()}{row.name[1:]}: {_told(row, system)}"
            for k, row in enumerate(rows)]  # fmt: skip


def _told(row: MouthRow, system: System) -> str:
    if row.refused:
        return f"will not do. {row.refused}"
    air = (f"air in the resin {bubble(row.resin_air_mm3)} in {count(row.places, 'place')}"
           f"{_tipped(row.resin_air_mm3, row.resin_tipped_mm3)}, in the rubber "
           f"{bubble(row.rubber_air_mm3)}{_tipped(row.rubber_air_mm3, row.rubber_tipped_mm3)}"
           )  # fmt: skip
    cut = "no cut"
    if row.cuts:
        clear = "no detail near" if math.isinf(row.closest_mm) else (
            f"{length(row.closest_mm, system)} clear of detail")  # fmt: skip
        cut = (f"{count(row.cuts, 'cut')}, {length(row.cut_length_mm, system)}, {clear}; "
               f"{row.cleanup_min:.0f} min of clean-up")  # fmt: skip
    grade = detail_grade(min(max(row.scar_detail, 0.0), 1.0))
    scar = f"a scar of {row.scar_mm2 / 100:.1f} cm² on {grade}"
    return f"{air}; {cut}; stretch {100 * row.stretch:.0f} %; {scar}."


def _tipped(level_mm3: float, tipped_mm3: float) -> str:
    return f" ({bubble(tipped_mm3)} filled tipped)" if tipped_mm3 < level_mm3 else ""


def place_of_mouth(plan: Plan, row: MouthRow) -> Floats | None:
    """Return the (3,) place of a mouth in the pose of the stand [mm]; None for the base."""
    if row.mouth.point is None:
        return None
    turn = plan.master.to_pose
    place = turn[:3, :3] @ np.array(row.mouth.point) + turn[:3, 3]
    return np.asarray(place + np.array([0.0, 0.0, plan.stand.lift_mm]))


def filled_at(job: Job, row: MouthRow) -> Job:
    """Return a job that is filled at a mouth of the table."""
    stand = job.stand.model_copy(update={"mouth": row.mouth})
    return job.model_copy(update={"stand": stand})
