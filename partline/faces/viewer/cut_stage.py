"""The cut's stage: its page, the hand on its lines and the side it is seen from, in step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from partline.faces.facing import facing
from partline.faces.figures import System
from partline.faces.view import View
from partline.faces.viewer.answers import Answers
from partline.faces.viewer.cut_page import CutPage
from partline.faces.viewer.easel import Easel
from partline.faces.viewer.leading_hand import LeadingHand
from partline.faces.workbench import Workbench


class CutStage:
    """Joins the page of the cut to the answers it gives and to the hand on the lines.

    Parameters
    ----------
    draw : callable
        Draws the picture again.
    refresh : callable
        Shows everything again.
    """

    def __init__(
        self, bench: Workbench, page: CutPage, lines: LeadingHand, answers: Answers,
        easel: Easel, draw: Callable[[], None], refresh: Callable[[], None],
    ) -> None:  # fmt: skip
        self._bench, self._easel = bench, easel
        # The scan whose cut has been looked at; from then on the eye stays where it was put.
        self._seen: object = None
        self._page, self._lines, self._draw, self._refresh = page, lines, draw, refresh
        lines.changed = self._led
        page.cuts.connect(answers.cuts)
        page.beside.connect(answers.beside_piece)
        page.kept.connect(answers.keep_cut)
        page.freed.connect(answers.free_cut)
        page.tried.connect(self._tried)

    def follow(self, *, open_: bool, system: System) -> None:
        """Make the lines ready to be dragged while the stage is open, and say how."""
        if open_ and self._bench.plan is not None:
            self._seen = self._bench.master
        self._lines.follow(open_=open_, system=system)
        self._page.lead(self._lines.words)

    def faced(self, view: View) -> View:
        """Return the view with the cut toward the eye, the first time a scan's cut is opened."""
        plan = self._bench.plan
        if plan is None or self._seen is self._bench.master:
            return view
        self._easel.fit_again()
        return facing(plan, view)

    def _tried(self, at_mm: float) -> None:
        """Show the cut's end at another place; nothing else hangs on it while it slides."""
        bench = self._bench
        if bench.plan is not None:
            bench.view = replace(bench.view, knife_mm=at_mm)
            self._page.show_end(bench.plan, at_mm, self._lines.system)
            self._draw()

    def _led(self) -> None:
        if self._lines.dragging():
            self._page.lead(self._lines.words)
            if self._bench.plan is not None and self._lines.end_mm is not None:
                self._page.show_end(self._bench.plan, self._lines.end_mm, self._lines.system)
            self._draw()
        else:
            self._refresh()
