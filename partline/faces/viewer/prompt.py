"""What to do next: one question at a time, and one button that answers it."""

from __future__ import annotations

from html import escape

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from partline.faces.viewer.questions import OTHER_WAYS, QUESTIONS


class Prompt(QFrame):
    """The card at the top: question, answer, and the progress of the work.

    Signals
    -------
    answered(str)
        The question whose button was pressed.
    other_way(str)
        The question whose second button was pressed.
    stop()

    Attributes
    ----------
    place : QVBoxLayout
        Room for a form, between the question and its button.
    """

    answered = Signal(str)
    other_way = Signal(str)
    stop = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("prompt")
        self.question = "scan"
        self.heading, self.how = QLabel(), QLabel()
        self.heading.setObjectName("heading")
        self.lines = QLabel()
        self.lines.setObjectName("lines")
        for label in (self.heading, self.how, self.lines):
            label.setWordWrap(True)
        self.lines.setTextInteractionFlags(Qt.TextSelectableByMouse)
        self.button = QPushButton()
        self.button.setObjectName("next")
        self.button.clicked.connect(lambda: self.answered.emit(self.question))
        self.other = QPushButton()
        self.other.setFlat(True)
        self.other.clicked.connect(lambda: self.other_way.emit(self.question))
        self._make_height()
        self._make_progress()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 12, 14, 14)
        layout.setSpacing(10)
        self.place = QVBoxLayout()
        for part in (self.heading, self.how, self.lines, self.height_row):
            layout.addWidget(part)
        layout.addLayout(self.place)
        for part in (self.button, self.other, self.working):
            layout.addWidget(part)
        self.ask("scan")

    def _make_height(self) -> None:
        self.height_row = QWidget()
        self.height_text, self.height_unit = QLineEdit(), QComboBox()
        self.height_text.setPlaceholderText("for example 62 or 2 7/16")
        self.height_text.setToolTip("The length, as measured on the piece or as you want it made.")
        self.height_unit.addItems(["mm", "cm", "in"])
        self.height_unit.setToolTip("The unit of the height you type.")
        self.height_text.returnPressed.connect(lambda: self.answered.emit(self.question))
        row = QHBoxLayout(self.height_row)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.height_text, 1)
        row.addWidget(self.height_unit)

    def _make_progress(self) -> None:
        self.working = QWidget()
        self.bar, self.doing = QProgressBar(), QLabel()
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.doing.setWordWrap(True)
        halt = QPushButton("Stop")
        halt.setToolTip("Stops the work; nothing is written and nothing you said is lost.")
        halt.clicked.connect(self.stop)
        column = QVBoxLayout(self.working)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.doing)
        row = QHBoxLayout()
        row.addWidget(self.bar, 1)
        row.addWidget(halt)
        column.addLayout(row)
        self.working.hide()

    def ask(
        self, question: str, *, lines: tuple[str, ...] = (), small: bool = False,
        stale: bool = False,
    ) -> None:  # fmt: skip
        """Show a question of `QUESTIONS`, or the plan's first lines.

        Parameters
        ----------
        small : bool
            Leave the room to the page below: no lines, no second button.
        stale : bool
            The lines are of an earlier choice.
        """
        self.question = question
        asked = QUESTIONS[question]
        self.heading.setText(asked.heading)
        self.how.setText(asked.how)
        self.how.setVisible(bool(asked.how))
        said = [escape(line[:1].upper() + line[1:]) for line in lines]
        self.lines.setText("".join(f'<p style="margin: 0 0 7px 0">{line}</p>' for line in said))
        self.lines.setVisible(bool(lines) and not small)
        self.lines.setEnabled(not stale)
        self.heading.setVisible(not small)
        self.button.setText(asked.button)
        self.button.setToolTip(asked.tip)
        self.height_row.setVisible(question in ("height", "distance"))
        other = OTHER_WAYS.get(question)
        self.other.setVisible(other is not None and not small)
        if other is not None:
            self.other.setText(other[0])
            self.other.setToolTip(other[1])

    def height_words(self) -> str:
        """Return the typed length with its unit: the chosen one unless another was typed."""
        text = self.height_text.text().strip()
        has_unit = any(c.isalpha() or c in "\"'″′" for c in text)
        return text if has_unit or not text else f"{text} {self.height_unit.currentText()}"

    def show_busy(self, busy: bool) -> None:
        """Show the bar instead of the button while something is worked out."""
        # What goes is hidden first: room is made at once for what comes, and for both if both stay.
        coming, going = (self.working, self.button) if busy else (self.button, self.working)
        going.hide()
        coming.show()
        self.button.setEnabled(not busy)
        self.other.setEnabled(not busy)
        self.height_row.setEnabled(not busy)
        if busy:
            self.show_progress(0.0, "Starting…")

    def show_progress(self, fraction: float, words: str) -> None:
        """Show how far the work is."""
        self.bar.setValue(round(1000 * fraction))
        self.doing.setText(words[:1].upper() + words[1:])
