"""What the window is sent for: open, work out, write the sheet, save; the long ones beside it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from qtpy.QtWidgets import QFileDialog, QWidget

from partline.errors import JobError, PartlineError
from partline.faces.figures import System
from partline.faces.view import View, Workbench, job_of
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.rows import Notice
from partline.faces.viewer.work import Opened, read_any, sheet_into, write_whole
from partline.job import Job, write_job
from partline.plan import Plan

KINDS = "Scans and jobs (*.stl *.obj *.ply *.stl.gz *.ply.gz *.ply.xz *.obj.xz *.toml);;All (*)"

_NO_PLAN = "There is no plan yet. Answer the questions and work it out first."


class Errands:
    """Acts on a workbench for a window, and tells how it went in its notice.

    Parameters
    ----------
    planner : callable
        `planner(job, progress=...)` returns the plan.
    """

    def __init__(
        self, bench: Workbench, jobs: Jobs, notice: Notice, window: QWidget,
        planner: Callable[..., Plan],
    ) -> None:  # fmt: skip
        self._bench, self._jobs, self._notice = bench, jobs, notice
        self._window, self._planner = window, planner

    def open_path(self, path: Path) -> None:
        """Open a scan or a job file in the background."""
        self._notice.hide()

        def take(found: Opened) -> None:
            self._bench.opened(found.path, found.master, base=found.job)
            self._bench.change(up=found.up, front=found.front)

        self._jobs.start(lambda progress: read_any(path, progress), take)

    def work_out(self) -> None:
        """Make the plan in the background."""
        try:
            job = job_of(self._bench)
        except JobError as fault:
            self._notice.say(str(fault), trouble=True)
            return
        self._notice.hide()

        def take(plan: Plan) -> None:
            self._bench.change(plan=plan, view=View())

        self._jobs.start(lambda progress: self._planner(job, progress=progress), take)

    def export(self, folder: Path, system: System = "mm") -> None:
        """Write the bench sheet into a folder in the background."""
        plan = self._bench.plan
        if plan is None:
            self._notice.say(_NO_PLAN, trouble=True)
            return

        def told(words: str) -> None:
            self._notice.say(words, trouble=False)

        self._notice.hide()
        self._jobs.start(lambda progress: sheet_into(plan, folder, progress, system=system), told)

    def save(self, path: Path) -> None:
        """Save the job file, whole or not at all."""
        try:
            job: Job = job_of(self._bench)
            write_whole(path, write_job(job, path.parent))
        except (PartlineError, OSError) as fault:
            self._notice.say(f"The job was not saved. {fault}", trouble=True)
            return
        self._notice.say(f"The job is saved as {path}.", trouble=False)

    def ask_open(self) -> None:
        """Ask which file, and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a scan or a job", "", KINDS)
        if name and not self._jobs.working():
            self.open_path(Path(name))

    def ask_sheet(self, system: System = "mm") -> None:
        """Ask for a folder, and write the sheet with its lengths in a system."""
        if self._bench.plan is None:
            self._notice.say(_NO_PLAN, trouble=True)
            return
        name = QFileDialog.getExistingDirectory(self._window, "A folder for the bench sheet")
        if name:
            self.export(Path(name), system)

    def ask_save(self) -> None:
        """Ask for a file, and save the job; the dialog asks before it writes over another."""
        bench = self._bench
        start = str(bench.path.with_suffix(".toml")) if bench.path else "job.toml"
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the job", start, "Job (*.toml)")
        if name:
            self.save(Path(name if name.endswith(".toml") else name + ".toml"))
