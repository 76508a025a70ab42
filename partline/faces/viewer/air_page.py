"""The air: the tilt dial, and the places that hold air in the pour and tip that are shown."""

from __future__ import annotations

from qtpy.QtCore import Signal
from qtpy.QtWidgets import QHBoxLayout, QLabel, QListWidget, QWidget

from partline.faces.figures import System, bubble
from partline.faces.ready_words import ready_lines
from partline.faces.tipping import air_of, pour_of, tip_line
from partline.faces.vent_places import vent_hand_words
from partline.faces.viewer.dial import Dial
from partline.faces.viewer.pages import Page, button
from partline.faces.words import place_words
from partline.faces.workbench import Workbench
from partline.plan import Plan


class AirPage(Page):
    """The tilt dial and the numbered places that hold air.

    Signals
    -------
    selected(object)
        Index of a pocket, or None.
    tipped(object, bool)
        A tip from the dial or the buttons, and whether it is still moving.
    freed()
        The vents are to go where the plan finds best.
    by_hand(bool)
        A drag in the picture tips the block, or turns the eye again.
    """

    selected = Signal(object)
    tipped = Signal(object, bool)
    by_hand = Signal(bool)
    freed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.dial = Dial()
        self.dial.tipped.connect(self.tipped)
        self.level = button("Level", "Stands the block level again.")
        self.best = button("Best tip", "Tips the block the way that leaves the least air.")
        self.hand = button("Drag tips it",
                           "While this is on, a drag in the picture tips the block itself; the "
                           "air follows as you drag.")  # fmt: skip
        self.hand.setCheckable(True)
        self.level.clicked.connect(lambda: self.tipped.emit(None, False))
        self.best.clicked.connect(lambda: self.tipped.emit(self._best, False))
        self.hand.clicked.connect(self.by_hand)
        self._best: tuple[float, float] | None = None
        row = QHBoxLayout()
        for widget in (self.level, self.best, self.hand):
            row.addWidget(widget)
        self.now = QLabel()
        self.now.setWordWrap(True)
        self.now.setMinimumHeight(4 * self.now.fontMetrics().lineSpacing())
        self.list = QListWidget()
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(110)
        self.list.setToolTip("Click on a place to point it out in the picture.")
        self.list.currentRowChanged.connect(
            lambda row: self.selected.emit(row if row >= 0 else None)
        )
        self.column.insertWidget(0, self.now)
        self.column.insertWidget(0, self.dial)
        self.column.insertLayout(1, row)
        self.column.addWidget(self.list, 1)
        self.ready = QLabel()
        self.ready.setWordWrap(True)
        self.free = button("Vents where it is best",
                           "Forgets where you moved the vents.")  # fmt: skip
        self.free.clicked.connect(self.freed)
        self.free.hide()
        self.column.addWidget(self.ready)
        self.column.addWidget(self.free)

    def follow_tip(self, plan: Plan, bench: Workbench) -> None:
        """Show the tip and its total only: what a drag can keep up with."""
        found = pour_of(plan, bench.view.pour).directions
        self._best = (found.azimuth_deg, found.tilt_deg)
        self.dial.follow(found, bench.view.pour, bench.view.tip)
        # The figures are of the full mesh all along; only what is drawn is less.
        held = " While it moves, small places are dots." if bench.view.moving else ""
        self.now.setText(tip_line(plan, bench.view) + held)
        self.list.setEnabled(not bench.view.moving)

    def grey(self, stale: bool) -> None:
        """Grey it out while it tells of an earlier choice."""
        super().grey(stale)
        for widget in (self.dial, self.now, self.list, self.ready):
            widget.setEnabled(not stale)

    def follow(self, plan: Plan, bench: Workbench, system: System) -> None:
        """Show the pockets of the pour and tip that are shown."""
        self.follow_tip(plan, bench)
        air = air_of(plan, bench.view)
        name = "Rubber" if bench.view.pour == "rubber" else "Resin"
        kept = "kept level" if bench.view.tip is None else "tipped"
        said = "full to the brim; places that hold air, exact for this scan:"
        self.say(f"{name} pour, {kept}, {said if air.pockets else 'no place holds air.'}")
        hand = vent_hand_words(plan, bench.base or plan.job)
        self.ready.setText("\n\n".join([*ready_lines(plan, bench.view, system), hand]).strip())
        self.free.setVisible(bool(plan.job.vents.at))
        rows = [
            f"{k + 1}.  {bubble(p.volume_mm3)}, {place_words(p.apex, plan.stand, system)}"
            + ("" if p.wide_enough else " (its way out is narrow: may hold more)")
            for k, p in enumerate(air.pockets)
        ]
        self.list.blockSignals(True)
        if [self.list.item(k).text() for k in range(self.list.count())] != rows:
            self.list.clear()
            self.list.addItems(rows)
        chosen = bench.view.selected
        self.list.setCurrentRow(-1 if chosen is None else chosen)
        self.list.blockSignals(False)
