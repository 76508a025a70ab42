"""The cut's stage: its page and the hand on its lines, kept in step."""

from __future__ import annotations

from collections.abc import Callable

from partline.faces.figures import System
from partline.faces.viewer.answers import Answers
from partline.faces.viewer.cut_page import CutPage
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
        draw: Callable[[], None], refresh: Callable[[], None],
    ) -> None:  # fmt: skip
        self._bench = bench
        self._page, self._lines, self._draw, self._refresh = page, lines, draw, refresh
        lines.changed = self._led
        page.cuts.connect(answers.cuts)
        page.kept.connect(answers.keep_cut)
        page.freed.connect(answers.free_cut)

    def follow(self, *, open_: bool, system: System) -> None:
        """Make the lines ready to be dragged while the stage is open, and say how."""
        self._lines.follow(open_=open_, system=system)
        self._page.lead(self._lines.words)

    def _led(self) -> None:
        if self._lines.dragging():
            self._page.lead(self._lines.words)
            if self._bench.plan is not None and self._lines.end_mm is not None:
                self._page.show_end(self._bench.plan, self._lines.end_mm, self._lines.system)
            self._draw()
        else:
            self._refresh()
