"""A form of a few lines: a label, a box to type in or to choose from, a unit behind it."""

from __future__ import annotations

from collections.abc import Callable

from qtpy.QtCore import Signal
from qtpy.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from partline.faces.asking import Entry, entries, said, wanted
from partline.job import Job


class Line(QWidget):
    """One line of a form, without its label."""

    def __init__(self, entry: Entry, text: str, changed: Callable[[], object]) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self.entry = entry
        self.box, self.unit = QLineEdit(text), QComboBox()
        self.choice = QComboBox()
        for value, words in entry.choices:
            self.choice.addItem(words, value)
        self.choice.setCurrentIndex(max(0, self.choice.findData(text)))
        self.choice.currentIndexChanged.connect(changed)
        # A long word must not make the whole column wider.
        self.choice.setSizeAdjustPolicy(QComboBox.AdjustToMinimumContentsLengthWithIcon)
        self.choice.setMinimumContentsLength(8)
        self.box.setPlaceholderText(entry.hint)
        self.unit.addItems(entry.units)
        self.unit.setVisible(len(entry.units) > 1)
        for widget in (self.box, self.choice):
            widget.setToolTip(entry.tip)
            widget.setAccessibleName(entry.label)
        self.unit.setToolTip("The unit of the number you type.")
        row.addWidget(self.choice if entry.choices else self.box, 1)
        if entry.units:
            row.addWidget(self.unit)
        self.setFocusProxy(self.choice if entry.choices else self.box)

    def text(self) -> str:
        """Return what was typed or chosen, with the unit chosen unless one was typed."""
        if self.entry.choices:
            return str(self.choice.currentData())
        text = self.box.text().strip()
        unit = self.unit.currentText()
        bare = text and not any(c.isalpha() or c == "%" for c in text)
        # The first unit is the one a bare number has anyhow, and text left as it was stays equal.
        return f"{text} {unit}" if bare and self.unit.currentIndex() > 0 else text


class Form(QWidget):
    """The lines of one question about the bench.

    Signals
    -------
    entered()
        Enter was pressed in a box.
    """

    entered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lines: dict[str, Line] = {}
        self._entries: tuple[Entry, ...] = ()
        self._inside, self._rows = QWidget(), QFormLayout()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(self._inside)

    def fill(self, job: Job, question: str) -> None:
        """Show what a job says to a question."""
        self._entries, texts = entries(job, question), said(job, question)
        # Enter in one of the old boxes may have led here: they must outlive that key.
        self._column.removeWidget(self._inside)
        self._inside.hide()
        self._inside.deleteLater()
        self._inside = QWidget()
        self._rows = QFormLayout(self._inside)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setVerticalSpacing(6)
        self.lines = {}
        for entry in self._entries:
            line = Line(entry, texts[entry.key], self._fit)
            line.box.returnPressed.connect(self.entered)
            unit = f", {entry.units[0]}".replace("cm3", "cm³") if len(entry.units) == 1 else ""
            self._rows.addRow(f"{entry.label}{unit}:", line)
            self.lines[entry.key] = line
        self._column.addWidget(self._inside)
        self._fit()

    def _fit(self) -> None:
        """Show the lines that matter for what is chosen."""
        shown = wanted(self._entries, self.typed())
        for entry in self._entries:
            self._rows.setRowVisible(self.lines[entry.key], entry in shown)

    def typed(self) -> dict[str, str]:
        """Return what stands in the form, by key."""
        return {key: line.text() for key, line in self.lines.items()}
