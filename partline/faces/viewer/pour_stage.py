"""The pour's stage: the steps are worked out beside the window, then played in the picture."""

from __future__ import annotations

from collections.abc import Callable

from partline.faces.frames import Frame, readied, shown_in
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.play_row import PlayRow
from partline.faces.workbench import Workbench
from partline.plan import Plan


class PourStage:
    """Joins the row that plays the pour to the picture.

    Parameters
    ----------
    shown : callable
        Draws the view again; nothing else hangs on a picture of the pour.
    """

    def __init__(
        self, bench: Workbench, jobs: Jobs, row: PlayRow, shown: Callable[[], None]
    ) -> None:
        self._bench, self._jobs, self._row = bench, jobs, row
        self._ready: Plan | None = None
        self._drawn = shown
        # The step to be shown once it can be: the one a job was left at.
        self.resume: int | None = None
        row.stepped.connect(self._show)

    def _show(self, frame: Frame) -> None:
        self._bench.view = shown_in(self._bench.view, frame)
        self._drawn()

    def follow(self, *, open_: bool) -> None:
        """Work out what is played while the stage is open; nothing is played before that."""
        plan = self._bench.plan
        if plan is None:
            return
        self._row.wait(self._ready is not plan)
        if open_ and self._ready is not plan and not self._bench.stale():
            self._jobs.start_idle(
                lambda progress: readied(plan, progress), lambda _: self._take(plan)
            )

    def _take(self, plan: Plan) -> None:
        # Where it came to nothing the pictures are worked out as they are shown.
        self._ready = plan
        self._row.wait(False)
        step, self.resume = self.resume, None
        if step is not None:
            self._row.go_to(step)
