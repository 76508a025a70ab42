"""The log beside the job that is open: read for every plan, appended to by the last stage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from partline.errors import LogError
from partline.faces.keeping import is_sample
from partline.faces.viewer.work import hash_of, read_pulls
from partline.faces.workbench import Workbench, job_of
from partline.job import Job
from partline.plan import Plan
from partline.workshop.log import Log, Pull
from partline.workshop.log_writing import append_pull, log_path


@dataclass(frozen=True)
class Read:
    """A log as read: nothing where there is none, and why where it cannot be used."""

    log: Log | None = None
    trouble: str = ""


class Pulls:
    """Keeps what was last read of a workbench's log.

    Attributes
    ----------
    newest : Log or None
        As last read or written; None where there is none.
    """

    def __init__(self, bench: Workbench) -> None:
        self._bench = bench
        self.newest: Log | None = None

    def read(self, job: Job, job_file: Path | None) -> Read:
        """Return the log of a job; one that cannot be used stops no plan, but is told."""
        if job_file is None:
            return Read()
        try:
            return Read(read_pulls(job, job_file))
        except LogError as fault:
            return Read(trouble=str(fault))

    def to_plan_with(self, read: Read, earlier: Plan | None) -> Log | None:
        """Return the log a plan is made with; an empty one, lest an earlier plan's is kept."""
        made = None if earlier is None else earlier.production
        if read.log is None and made is not None and made.log is not None:
            return Log(made.log.name, made.log.job, (), ())
        return read.log

    def uncounted(self) -> bool:
        """Tell whether the newest log says something that the plan does not know."""
        plan = self._bench.plan
        if self.newest is None or plan is None or plan.production is None:
            return False
        return plan.production.log != self.newest

    def write(self, typed: Callable[[Plan], Pull]) -> Path:
        """Append a pull to the log and return the log's path.

        Raises
        ------
        LogError
            If it cannot be written, or there is no job file to write it beside.
        """
        bench = self._bench
        if bench.plan is None:
            raise LogError("There is no plan yet whose numbers the voids could have.")
        if bench.job_path is None:
            raise LogError(
                "The log lies beside the job file, and this job is not saved yet. Save the job, "
                "then write the pull down."
            )
        if is_sample(bench.job_path):
            raise LogError(
                "This is the sample, beside which nothing is written. Save it as a job of your "
                "own, then write the pull down."
            )
        job, path = job_of(bench), log_path(bench.job_path)
        pull = typed(bench.plan)
        self.newest = append_pull(path, job.name, pull, scan=hash_of(job.scan.file))
        return path
