"""Play, Back and Next: the filling and rocking of the mould, a step at a time."""

from __future__ import annotations

from qtpy.QtCore import QTimer, Signal
from qtpy.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from partline.faces.playing import Played, played
from partline.faces.viewer.pages import button
from partline.plan import Plan

# Long enough to read a step's sentence; holding a mould takes longer at the bench.
STEP_MS = 3500


class PlayRow(QWidget):
    """The steps of the resin pour; none has been begun at first.

    Signals
    -------
    stepped(int, object)
        Which step is shown now, and how the mould is tipped in it; None is level.
    """

    stepped = Signal(int, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.steps: tuple[Played, ...] = ()
        self.at = -1
        self._pour: object = None
        self.back = button("Back", "Goes back to the step before.")
        self.play = button("Play", "Goes through the filling and the moves by itself; press it "
                           "again to stay at a step.")  # fmt: skip
        self.play.setCheckable(True)
        self.next = button("Next", "Goes on to the next step.")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setMinimumHeight(4 * self.words.fontMetrics().lineSpacing())
        row = QHBoxLayout()
        for widget in (self.back, self.play, self.next):
            row.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 6)
        column.addLayout(row)
        column.addWidget(self.words)
        self.timer = QTimer(self, interval=STEP_MS)
        self.timer.timeout.connect(self._on)
        self.back.clicked.connect(lambda: self._by_hand(-1))
        self.next.clicked.connect(lambda: self._by_hand(1))
        self.play.clicked.connect(self._played)

    def follow(self, plan: Plan) -> None:
        """Take the steps of a plan; of another pour it begins anew."""
        if plan.resin_pour is self._pour:
            return
        self._pour = plan.resin_pour
        self.steps = played(plan)
        self.rest()

    def rest(self) -> None:
        """Stop, and go back before the first step, without tipping anything."""
        self._halt()
        self.at = -1
        self._show()

    def _halt(self) -> None:
        self.timer.stop()
        self.play.setChecked(False)

    def _by_hand(self, by: int) -> None:
        self._halt()
        self._go(self.at + by)

    def _played(self, on: bool) -> None:
        if not on:
            self._halt()
            return
        self._go(0 if self.at >= len(self.steps) - 1 else self.at + 1)
        self.timer.start()

    def _on(self) -> None:
        self._go(self.at + 1)
        if self.at >= len(self.steps) - 1:
            self._halt()

    def _go(self, at: int) -> None:
        self.at = min(max(at, 0), len(self.steps) - 1)
        self._show()
        if self.steps:
            self.stepped.emit(self.at, self.steps[self.at].tip)

    def _show(self) -> None:
        self.back.setEnabled(self.at > 0)
        self.next.setEnabled(self.at < len(self.steps) - 1)
        self.play.setEnabled(bool(self.steps))
        if not self.steps:
            self.words.setText("The mould is kept level and not rocked: there are no steps.")
        elif self.at < 0:
            self.words.setText(
                f"Filling and moving the mould in {len(self.steps)} steps. The picture shows "
                "the air that is there in each."
            )
        else:
            shown = self.steps[self.at]
            self.words.setText(f"{self.at + 1} of {len(self.steps)}. {shown.words}")
