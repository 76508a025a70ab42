"""The pages of all stages, one of them shown; they follow the plan together."""

from __future__ import annotations

from qtpy.QtWidgets import QStackedWidget, QWidget

from partline.faces.figures import System
from partline.faces.view import STAGES
from partline.faces.viewer.after_page import AfterPage
from partline.faces.viewer.air_page import AirPage
from partline.faces.viewer.cut_page import CutPage
from partline.faces.viewer.pages import Page, PiecePage, StandPage, WeighPage
from partline.faces.viewer.pour_page import PourPage
from partline.faces.workbench import Workbench
from partline.plan import Plan


class StagePages(QStackedWidget):
    """A page for each of `STAGES`, by its name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.piece, self.stand, self.air, self.cut = PiecePage(), StandPage(), AirPage(), CutPage()
        self.weigh, self.pour, self.after = WeighPage(), PourPage(), AfterPage()
        for name in STAGES:
            self.addWidget(self._page(name))
        self.blank = QWidget()
        self.addWidget(self.blank)

    def _page(self, stage: str) -> Page:
        page: Page = getattr(self, stage)
        return page

    def open(self, stage: str, *, asked: bool = False) -> None:
        """Show the page of a stage; nothing while a form asks for all the attention."""
        self.setCurrentWidget(self.blank if asked else self._page(stage))

    def follow(
        self, bench: Workbench, plan: Plan | None, system: System, stale: frozenset[str]
    ) -> None:
        """Show the bench and its plan; the stages that are stale are greyed."""
        self.piece.follow(bench)
        self.stand.follow(bench)
        if plan is None:
            return
        self.air.follow(plan, bench, system)
        self.cut.follow(plan, bench, system)
        self.weigh.follow(plan, system)
        self.pour.follow(plan, system)
        self.after.follow(plan, system)
        for name in STAGES:
            self._page(name).grey(name in stale)
