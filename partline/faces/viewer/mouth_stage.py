"""Comparing mouths: the work in the background, what came of it, and the one that is taken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from partline.faces.figures import System
from partline.faces.mouth_choices import Compared, compared, filled_at, place_of_mouth
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.mouth_list import MouthList
from partline.faces.workbench import Workbench, planned_job, pointed_out


class MouthStage:
    """Joins the list of mouths to the workbench.

    Parameters
    ----------
    refresh : callable
        Shows everything again.
    """

    def __init__(
        self, bench: Workbench, jobs: Jobs, page: MouthList, refresh: Callable[[], None]
    ) -> None:
        self._bench, self._jobs, self._page, self._refresh = bench, jobs, page, refresh
        self._found: Compared | None = None
        self._row: int | None = None
        page.compare.connect(self.compare)
        page.looked.connect(self.look)
        page.taken.connect(self.take)

    def compare(self) -> None:
        """Compare mouths in the background."""
        if self._bench.plan is None or self._bench.question():
            return
        job = planned_job(self._bench)

        def take(found: Compared) -> None:
            self._found, self._row = found, None
            self._refresh()

        self._jobs.start(lambda progress: compared(job, progress), take)

    def look(self, row: int | None) -> None:
        """Show in the picture where a mouth of the list would be."""
        found, plan, place = self._found, self._bench.plan, None
        self._row = row
        if found is not None and plan is not None and row is not None:
            place = place_of_mouth(plan, found.rows[row])
        spot = None if place is None else (float(place[0]), float(place[1]), float(place[2]))
        self._bench.change(view=replace(self._bench.view, mouth=spot))

    def take(self, row: int) -> None:
        """Fill it at a mouth of the list."""
        found, bench = self._found, self._bench
        if found is None or bench.base is None or bench.master is None or row < 0:
            return
        mouth, self._row = found.rows[row].mouth, None
        bench.change(base=filled_at(bench.base, found.rows[row]), mouth_said=True,
                     mouth=pointed_out(mouth, bench.master),
                     view=replace(bench.view, mouth=None))  # fmt: skip

    def follow(self, system: System) -> None:
        """Show the comparison as long as it holds for what is said now."""
        bench = self._bench
        ready = bench.plan is not None and not bench.question()
        holds = ready and self._found is not None and self._found.holds(planned_job(bench))
        self._page.ask.setEnabled(ready)
        self._page.follow(self._found if holds else None, self._row, system)
