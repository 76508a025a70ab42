"""Play, Back and Next: the filling and rocking of the mould, a step at a time."""

from __future__ import annotations

from qtpy.QtCore import QTimer, Signal
from qtpy.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from partline.faces.frames import Frame, frames_of
from partline.faces.playing import Played, played
from partline.faces.viewer.pages import button
from partline.plan import Plan

# Long enough to read a step's sentence; holding a mould takes longer at the bench.
READ_MS = 3000
# From one picture to the next within a step.
FRAME_MS = 90


class PlayRow(QWidget):
    """The steps of the resin pour; none has been begun at first.

    Signals
    -------
    stepped(object)
        The picture of the pour that is shown now.
    """

    stepped = Signal(object)

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
        self.read_ms, self.frame_ms = READ_MS, FRAME_MS
        self._frames: tuple[Frame, ...] = ()
        self._frame = -1
        self._waits = False
        self.timer = QTimer(self, singleShot=True)
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
        self._frames = frames_of(plan, self.steps)
        self.rest()

    def step(self) -> int | None:
        """Return the step that is shown; None before the first."""
        return self.at if self.at >= 0 else None

    def wait(self, on: bool) -> None:
        """Let nothing be played until what it needs has been worked out."""
        if on != self._waits:
            self._waits = on
            self._show()

    def rest(self) -> None:
        """Stop, and go back before the first step, without tipping anything."""
        self._halt()
        self.at = self._frame = -1
        self._show()

    def _halt(self) -> None:
        self.timer.stop()
        self.play.setChecked(False)

    def _by_hand(self, by: int) -> None:
        self.go_to(self.at + by)

    def go_to(self, step: int) -> None:
        """Go to the picture that a step ends with."""
        self._halt()
        ends = [k for k in range(len(self._frames)) if self._ends(k)]
        if ends:
            self._go(ends[min(max(step, 0), len(ends) - 1)])

    def _ends(self, frame: int) -> bool:
        """Tell whether a step ends with a picture."""
        after = self._frames[frame + 1 : frame + 2]
        return not after or after[0].step != self._frames[frame].step

    def _played(self, on: bool) -> None:
        if not on:
            self._halt()
            return
        self._go(0 if self._frame >= len(self._frames) - 1 else self._frame + 1)
        self._onward()

    def _on(self) -> None:
        self._go(self._frame + 1)
        self._onward()

    def _onward(self) -> None:
        if self._frame >= len(self._frames) - 1:
            self._halt()
        else:
            self.timer.start(self.read_ms if self._ends(self._frame) else self.frame_ms)

    def _go(self, frame: int) -> None:
        self._frame = frame
        self.at = self._frames[frame].step
        self._show()
        self.stepped.emit(self._frames[frame])

    def _show(self) -> None:
        self.back.setEnabled(self.at > 0)
        self.next.setEnabled(self.at < len(self.steps) - 1 and not self._waits)
        self.play.setEnabled(bool(self.steps) and not self._waits)
        if not self.steps:
            self.words.setText("The mould is kept level and not rocked: there are no steps.")
        elif self._waits:
            self.words.setText("Getting the pour ready to be played…")
        elif self.at < 0:
            self.words.setText(
                f"Filling and moving the mould in {len(self.steps)} steps. The picture shows the "
                "resin rise, the mould turn, and the air that is left in each."
            )
        else:
            held = self._frames[self._frame].held
            said = f"{self.at + 1} of {len(self.steps)}. {self.steps[self.at].words}"
            self.words.setText(f"{said} {held[:1].upper()}{held[1:]}." if held else said)
