"""The rows round the picture: what is shown, the stages of the bench, and messages."""

from __future__ import annotations

from collections.abc import Callable, Collection

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QToolButton,
    QWidget,
)

from partline.faces.view import STAGES, View

LAYER_TIPS = {
    "detail": "Colours the piece by its detail: the bluer, the finer; the cut keeps away from it.",
    "cut": "Shows where the knife goes, with its start at the mouth and where it stops.",
    "air": "Shows each place where air stays, filled in and numbered as in the list.",
    "cup": "Shows the cup you pour into; in the resin pour, the block of rubber.",
}
POUR_TIPS = {
    "rubber": "The piece in its cup, mouth down, as the rubber is poured.",
    "resin": "The block turned over, mouth up, as the resin is poured.",
}
SIDES: dict[str, tuple[float, float, float]] = {
    "front": (0.0, -1.0, 0.28),
    "left": (-1.0, 0.0, 0.2),
    "right": (1.0, 0.0, 0.2),
    "back": (0.0, 1.0, 0.28),
    "above": (0.0, -0.35, 1.0),
    "below": (0.0, -0.35, -1.0),
}
STAGE_WORDS = {
    "piece": ("Piece", "The scan: its size, and what was mended in it."),
    "stand": ("Stand", "How the piece stands, its front, and where the resin goes in."),
    "air": ("Air", "Where air stays in both pours, and which way to tip."),
    "cut": ("Cut", "Where the knife goes, how far, and whether the piece comes out."),
    "weigh": ("Weigh", "The cup, the rubber and the resin, as the scale reads."),
    "pour": ("Pour", "Both pours step by step; the bench sheet; saving the job."),
    "after": ("After", "Castings, moulds and days; the line to clean up."),
}


def _choice(words: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(words)
    button.setToolTip(tip)
    button.setCheckable(True)
    button.setFocusPolicy(Qt.TabFocus)
    return button


class ShowRow(QWidget):
    """Layers on and off, which pour, and from which side.

    Signals
    -------
    layer(str, bool), pour(str), side(str), system(str), section(bool)
    """

    layer = Signal(str, bool)
    pour = Signal(str)
    side = Signal(str)
    system = Signal(str)
    section = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 6, 8, 6)
        row.setSpacing(4)
        self.layers = {name: _choice(name.capitalize(), tip) for name, tip in LAYER_TIPS.items()}
        row.addWidget(QLabel("Show"))
        for name, button in self.layers.items():
            button.clicked.connect(lambda on, name=name: self.layer.emit(name, on))
            row.addWidget(button)
        self.open = _choice("Section", "Cuts the block open along an upright plane that you can "
                            "turn and shift.")  # fmt: skip
        self.open.clicked.connect(self.section)
        row.addWidget(self.open)
        row.addSpacing(14)
        self.pours, self._pour_group = {}, QButtonGroup(self)
        row.addWidget(QLabel("Pour"))
        for name, tip in POUR_TIPS.items():
            self.pours[name] = _choice(name.capitalize(), tip)
            self._pour_group.addButton(self.pours[name])
            self.pours[name].clicked.connect(lambda _=False, name=name: self.pour.emit(name))
            row.addWidget(self.pours[name])
        row.addStretch(1)
        row.addSpacing(8)
        row.addWidget(QLabel("From"))
        self.sides = {}
        for name in SIDES:
            button = QToolButton()
            button.setText(name)
            where = {"above": "from above", "below": "from below"}.get(name, f"at its {name}")
            button.setToolTip(f"Look at the piece {where}.".replace("piece at", "piece, at"))
            button.clicked.connect(lambda _=False, name=name: self.side.emit(name))
            row.addWidget(button)
            self.sides[name] = button
        row.addSpacing(14)
        self.units, self._unit_group = {}, QButtonGroup(self)
        for name in ("mm", "inches"):
            self.units[name] = _choice(name, f"Say lengths in {name}.")
            self._unit_group.addButton(self.units[name])
            self.units[name].clicked.connect(lambda _=False, name=name: self.system.emit(name))
            row.addWidget(self.units[name])
        self.units["mm"].setChecked(True)

    def follow(self, view: View, *, planned: bool, opened: bool) -> None:
        """Show the state of the view; what a bare mesh does not have is greyed out."""
        for name, button in self.layers.items():
            button.setChecked(view.shows(name) and planned)
            button.setEnabled(planned)
        self.open.setChecked(view.section is not None and planned)
        self.open.setEnabled(planned)
        for name, button in self.pours.items():
            button.setChecked(view.pour == name)
            button.setEnabled(planned)
        for button in self.sides.values():
            button.setEnabled(opened)


class StageStrip(QWidget):
    """The stages in the order of the bench, along the bottom edge.

    Signals
    -------
    chosen(str)
    """

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 6)
        row.setSpacing(6)
        self.buttons, group = {}, QButtonGroup(self)
        for name in STAGES:
            words, tip = STAGE_WORDS[name]
            button = QPushButton(words)
            button.setObjectName("stage")
            button.setToolTip(tip)
            button.setCheckable(True)
            button.clicked.connect(lambda _=False, name=name: self.chosen.emit(name))
            group.addButton(button)
            row.addWidget(button, 1)
            self.buttons[name] = button

    def follow(self, stage: str, *, opened: bool, planned: bool, stale: Collection[str]) -> None:
        """Mark the stage that is open; those without anything to show yet are greyed out.

        A stage whose results are of an earlier choice says so by three dots.
        """
        for name, button in self.buttons.items():
            words, tip = STAGE_WORDS[name]
            button.setText(f"{words} …" if name in stale else words)
            button.setToolTip("Being worked out again." if name in stale else tip)
            ready = name == "piece" or (opened if name == "stand" else planned)
            button.setEnabled(ready)
            button.setChecked(name == stage)


class Notice(QFrame):
    """A message in words under the picture, until it is put away."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextSelectableByMouse)
        away = QToolButton()
        away.setText("Put away")
        away.setToolTip("Puts this message away.")
        away.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 8, 8, 8)
        self.act = QToolButton()
        self.act.setToolTip("Does what the message offers.")
        self.act.clicked.connect(self._acted)
        self._action: Callable[[], object] | None = None
        row.addWidget(self.words, 1)
        row.addWidget(self.act, 0, Qt.AlignTop)
        row.addWidget(away, 0, Qt.AlignTop)
        self.hide()

    def say(
        self, words: str, *, trouble: bool,
        action: tuple[str, Callable[[], object]] | None = None,
    ) -> None:  # fmt: skip
        """Show a message; trouble is marked by a thick edge and a word, not by colour alone.

        Parameters
        ----------
        action : tuple of (str, callable), optional
            A button beside it: its word and what it does.
        """
        self.words.setText(f"This did not work. {words}" if trouble else words)
        self.act.setVisible(action is not None)
        self._action = None
        if action is not None:
            word, self._action = action
            self.act.setText(word)
        self.setProperty("trouble", trouble)
        self.style().unpolish(self)
        self.style().polish(self)
        self.show()

    def _acted(self) -> None:
        if self._action is not None:
            self.hide()
            self._action()
