"""The pour's stage: the steps are worked out beside the window, then played in the picture."""

from __future__ import annotations

from collections.abc import Callable

from partline.faces.frames import Frame, readied, shown_in
from partline.faces.view import View
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.play_row import PlayRow
from partline.faces.workbench import Workbench
from partline.plan import Plan


class PourStage:
    """Joins the row that plays the pour to the picture.

    Parameters
    ----------
    look : callable
        Shows another view.
    """

    def __init__(
        self, bench: Workbench, jobs: Jobs, row: PlayRow, look: Callable[[View], None]
    ) -> None:
        self._bench, self._jobs, self._row = bench, jobs, row
        self._ready: Plan | None = None
        row.stepped.connect(lambda frame: look(self._shown(frame)))

    def _shown(self, frame: Frame) -> View:
        return shown_in(self._bench.view, frame)

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
