"""What the window is sent for: open, work out, write, print, save; the long ones beside it."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from pathlib import Path

from pydantic import ValidationError
from qtpy.QtCore import QUrl
from qtpy.QtGui import QDesktopServices
from qtpy.QtWidgets import QFileDialog, QWidget

from partline.errors import JobError, NotSolid, PartlineError, WorkshopError
from partline.faces.aside import awaited
from partline.faces.figures import System
from partline.faces.keeping import forget, is_sample, keep, kept_for
from partline.faces.scene import ready_to_draw
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.pulls import Pulls, Read
from partline.faces.viewer.rows import Notice
from partline.faces.viewer.work import Opened, read_any, sheet_into
from partline.faces.workbench import Workbench, drawn_anew, job_of, planned_job
from partline.job import Job, LookPart, write_job
from partline.plan import Plan
from partline.planfile import write_whole
from partline.progress import Progress
from partline.units import length_mm
from partline.workshop.log import Log, Pull
from partline.workshop.shelf import read_shelf, shelf_path

KINDS = (
    "Scans and jobs (*.stl *.obj *.ply *.glb *.3mf *.stl.gz *.ply.gz *.ply.xz *.obj.xz *.toml);;"
    "All (*)"
)

# In about so long a scan is read.
_USUAL_S = 5.0
_NO_PLAN = "There is no plan yet. Answer the questions and work it out first."


def in_words(fault: Exception) -> str:
    """Return a fault as a sentence; a value that the job refuses is told by its own words."""
    if isinstance(fault, ValidationError):
        first = fault.errors()[0]
        where = " ".join(str(part) for part in first["loc"])
        return f"{where}: {first['msg'].removeprefix('Value error, ')}"
    return str(fault)


class Errands:
    """Acts on a workbench for a window, and tells how it went in its notice.

    Parameters
    ----------
    planner : callable
        `planner(job, earlier=..., progress=...)` returns the plan.
    """

    def __init__(
        self, bench: Workbench, jobs: Jobs, notice: Notice, window: QWidget,
        planner: Callable[..., Plan],
    ) -> None:  # fmt: skip
        self._bench, self._jobs, self._notice = bench, jobs, notice
        self._window, self._planner = window, planner
        self._refused: tuple[Job, Log | None] | None = None
        self._read_ahead = False
        self._saved: Job | None = None
        self.planning: tuple[Job, Log | None] | None = None
        self.pulls = Pulls(bench)
        self.remember: Callable[[Path], None] = lambda _: None
        self.scans: Callable[[], tuple[Path, ...]] = tuple
        self.look: Callable[[], LookPart] = LookPart

    # Opening

    def open_path(
        self, path: Path, begun: Future[Opened] | None = None, *, anew: bool = False
    ) -> None:
        """Open a scan or a job file in the background.

        Parameters
        ----------
        begun : Future, optional
            Where it is being read already.
        anew : bool
            Draw a new surface round the scan; offered where it is no solid.
        """
        self._notice.hide()
        kept, scans = kept_for(path), self.scans()

        def take(found: Opened | NotSolid) -> None:
            if isinstance(found, NotSolid):
                self._notice.say(str(found), trouble=True, action=(
                    "Draw a new surface", lambda: self.open_path(path, anew=True)))  # fmt: skip
                return
            self.pulls.newest = None
            self.take_shelf(found.path)
            self._bench.opened(found.path, found.master, base=found.job, job_path=found.job_path)
            if found.job is None:
                base = self._bench.base
                self._bench.change(master=found.master, up=found.up, front=found.front,
                                   base=drawn_anew(base) if anew and base else base)  # fmt: skip
            self.remember(path)
            if found.back:
                self._notice.say(
                    "What you had said about this piece and not saved is back. To begin afresh, "
                    "press “Forget it”.",
                    trouble=False, action=("Forget it", lambda: self._afresh(path, kept)),
                )  # fmt: skip

        def read(progress: Progress) -> Opened | NotSolid:
            try:
                if begun is not None:
                    # A job may lean on a folder that only the window remembers.
                    with suppress(JobError):
                        return awaited(begun, f"reading {path.name}", progress, usual_s=_USUAL_S)
                return read_any(path, progress, kept=kept, anew=anew, scans=scans)
            except NotSolid as fault:
                # Of a job file the file says what is to be done.
                if anew or path.suffix.lower() == ".toml":
                    raise
                return fault

        self._jobs.start(read, take)

    def read_ahead(self) -> None:
        """Read the table of units while a length is typed: it takes a fifth of a second."""
        if not self._read_ahead and self._bench.question() == "height":
            self._read_ahead = self._jobs.start_idle(lambda _: length_mm("1 mm"), lambda _: None)

    def take_shelf(self, path: Path) -> None:
        """Take the saved cups from the shelf; a sample has its own and needs no others."""
        try:
            self._bench.shelf = () if is_sample(path) else read_shelf(shelf_path())
        except WorkshopError as fault:
            self._bench.shelf = ()
            self._notice.say(f"Your saved cups are left out. {fault}", trouble=True)

    def _afresh(self, path: Path, kept: Path) -> None:
        forget(kept)
        self.open_path(path)

    # Working it out

    def _job(self) -> Job | None:
        try:
            return planned_job(self._bench)
        except (PartlineError, ValidationError) as fault:
            self._notice.say(in_words(fault), trouble=True)
            return None

    def work_out(self) -> None:
        """Make the plan in the background, over the earlier one where there is one."""
        job = self._job()
        if job is None:
            return
        bench, earlier, job_file = self._bench, self._bench.plan, self._bench.job_path
        if self._notice.property("trouble"):
            self._notice.hide()

        def work(progress: Progress) -> tuple[Plan, Read]:
            read = self.pulls.read(job, job_file)
            log = self.pulls.to_plan_with(read, earlier)
            plan = self._planner(job, log=log, earlier=earlier, progress=progress)
            ready_to_draw(plan, bench.view)
            return plan, read

        def take(found: tuple[Plan, Read]) -> None:
            # Something may have been said meanwhile: then the plan is shown as stale.
            plan, read = found
            self.pulls.newest = read.log
            bench.change(plan=plan, planned=job)
            if read.trouble:
                self._notice.say(f"The plan is made without the log. {read.trouble}", trouble=True)

        self.planning = (job, self.pulls.newest)
        started = self._jobs.start(work, take)
        if not started:
            self.planning = None

    def uncounted(self) -> frozenset[str]:
        """Return the last stage where a pull in the log is not in the plan yet; else nothing."""
        return frozenset({"after"} if self.pulls.uncounted() else ())

    def behind(self) -> bool:
        """Tell whether the newest choice is neither worked out, nor at work, nor refused."""
        bench = self._bench
        if not (bench.stale() or self.pulls.uncounted()) or bench.question():
            return False
        job = self._job()
        newest = None if job is None else (job, self.pulls.newest)
        known = self.planning if self._jobs.working() else self._refused
        return newest is not None and newest != known

    def keep_up(self) -> None:
        """Work out again what a choice has made stale; the newest choice wins."""
        if not self.behind():
            return
        if self._jobs.working():
            if self.planning is not None:
                self._jobs.stop()
        else:
            job = self._job()
            self._refused = None if job is None else (job, self.pulls.newest)
            self.work_out()

    # Writing

    def fresh_plan(self) -> Plan | None:
        """Return the plan if it may go out; say why not otherwise."""
        plan = self._bench.plan
        if plan is None or self._bench.stale() or self.pulls.uncounted():
            words = _NO_PLAN if plan is None else "The plan is being worked out again; wait for it."
            self._notice.say(words, trouble=True)
            return None
        return plan

    def export(self, folder: Path, system: System = "mm") -> None:
        """Write the bench sheet and all that goes with it into a folder in the background."""
        plan = self.fresh_plan()
        if plan is None:
            return

        def told(found: tuple[Path, str]) -> None:
            sheet, words = found
            self._notice.say(words, trouble=False, action=("Open it", lambda: open_file(sheet)))

        self._notice.hide()
        self._jobs.start(lambda progress: sheet_into(plan, folder, progress, system=system), told)

    def write_pull(self, typed: Callable[[Plan], Pull]) -> bool:
        """Write a pull into the log beside the job file; False where it could not be.

        Parameters
        ----------
        typed : callable
            Returns the pull as typed, its voids by the numbers of the plan.
        """
        try:
            path = self.pulls.write(typed)
        except PartlineError as fault:
            self._notice.say(str(fault), trouble=True)
            return False
        self._notice.say(f"Written into {path}.", trouble=False,
                         action=("Open it", lambda: open_file(path)))  # fmt: skip
        return True

    def save(self, path: Path) -> None:
        """Save the job file with what is shown, whole or not at all."""
        bench = self._bench
        try:
            said = job_of(bench)
            job = said.model_copy(update={"look": self.look()})
            write_whole(path, write_job(job, path.parent).encode("utf-8"))
        except (PartlineError, ValidationError) as fault:
            self._notice.say(f"The job was not saved. {in_words(fault)}", trouble=True)
            return
        for kept in {kept_for(p) for p in (bench.job_path, bench.path, path) if p}:
            forget(kept)
        self._saved = said
        bench.change(job_path=path)
        self.remember(path)
        scan = Path(job.scan.file).resolve().parent
        apart = "" if scan.is_relative_to(path.resolve().parent) else (
            f" Its scan lies elsewhere: to plan it without the window, say --scans \"{scan}\", or "
            "copy the scan beside it."
        )  # fmt: skip
        self._notice.say(f"The job is saved as {path}.{apart}", trouble=False)

    def keep_choices(self) -> None:
        """Keep what was said beside the piece, so that nothing is lost; trouble is told once."""
        bench = self._bench
        piece = bench.job_path or bench.path
        if piece is None or not piece.is_file() or bench.height_mm is None:
            return
        if not any(bench.can_undo()):
            return
        try:
            said = job_of(bench)
            if said == self._saved:
                forget(kept_for(piece))
            else:
                keep(said.model_copy(update={"look": self.look()}), kept_for(piece))
        except (PartlineError, ValidationError, OSError) as fault:
            self._notice.say(
                f"What you say is not kept while you work: {in_words(fault)} Save it yourself.",
                trouble=True,
            )

    # Asking which file

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
        name = QFileDialog.getExistingDirectory(
            self._window, "A new or empty folder for the bench sheet"
        )
        if name:
            self.export(Path(name), system)

    def save_again(self) -> None:
        """Save to the job file it came from; ask for one where there is none."""
        if self._bench.job_path is None:
            self.ask_save()
        else:
            self.save(self._bench.job_path)

    def ask_save(self) -> None:
        """Ask for a file, and save the job; the dialog asks before it writes over another."""
        bench = self._bench
        start = bench.job_path or (bench.path.with_suffix(".toml") if bench.path else "job.toml")
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save the job", str(start), "Job (*.toml)"
        )
        if name:
            self.save(Path(name if name.endswith(".toml") else name + ".toml"))


def open_file(path: Path) -> bool:
    """Open a file with whatever the desktop opens it with."""
    return bool(QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))))
