"""The shelf: the cups there are, one more by what a rule reads inside it."""

from __future__ import annotations

from collections.abc import Sequence

from qtpy.QtCore import Signal
from qtpy.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QVBoxLayout,
    QWidget,
)

from partline.faces.cup_shelf import MEASURES, cup_words
from partline.faces.figures import System
from partline.faces.viewer.pages import button
from partline.job import ShelfItem

_LABELS = {
    "rim": ("Wide at the rim:", "Inner width at the rim; of a box, from side to side."),
    "depth": ("Front to back:", "Inner size of a box from front to back, at the rim."),
    "floor": ("Wide at the floor:", "Inner width at the floor, where it is narrower."),
    "height": ("Floor to rim:", "From the inner floor up to the rim."),
}


class Cups(QWidget):
    """A list of cups, and three measured numbers for another.

    Signals
    -------
    added(), removed(str)
        "Add it" was pressed; a cup is to be taken off the shelf.
    """

    added = Signal()
    removed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = QListWidget()
        self.list.setWordWrap(True)
        self.list.setToolTip("The cups that are tried, those of this job first.")
        self.list.setAccessibleName("Your cups")
        self.list.setFixedHeight(96)
        self.name, self.kind, self.unit = QLineEdit(), QComboBox(), QComboBox()
        self.name.setPlaceholderText("as on your shelf")
        self.name.setToolTip("What you call it; the sheet calls it so.")
        self.kind.addItems(list(MEASURES))
        self.kind.setToolTip("A pail is a cup; a pipe is as wide at the floor as at the rim.")
        self.unit.addItems(["mm", "cm", "in"])
        self.unit.setToolTip("The unit of the sizes you type.")
        self.kind.currentTextChanged.connect(self._fit)
        self.sizes = {key: QLineEdit() for key in _LABELS}
        self.add = button("Add it", "Puts the cup on your shelf, for this job and every other.")
        self.add.clicked.connect(self.added)
        self.off = button("Take off", "Takes the chosen cup off the shelf.")
        self.off.clicked.connect(self._take_off)
        self.list.currentRowChanged.connect(lambda row: self.off.setEnabled(row >= 0))
        self.off.setEnabled(False)
        self._names: list[str] = []
        self._lay_out()

    def _lay_out(self) -> None:
        self._rows = QFormLayout()
        self._rows.setVerticalSpacing(5)
        kinds, buttons = QHBoxLayout(), QHBoxLayout()
        kinds.addWidget(self.kind, 1)
        kinds.addWidget(self.unit)
        for widget in (self.add, self.off):
            buttons.addWidget(widget)
        self._rows.addRow("Another:", self.name)
        self._rows.addRow("It is a", kinds)
        for key, (label, tip) in _LABELS.items():
            self.sizes[key].setToolTip(tip)
            self.sizes[key].returnPressed.connect(self.added)
            self._rows.addRow(label, self.sizes[key])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.list, 1)
        column.addLayout(self._rows)
        column.addLayout(buttons)
        self._fit("cup")

    def _fit(self, kind: str) -> None:
        for key, box in self.sizes.items():
            self._rows.setRowVisible(box, key in MEASURES[kind])

    def _take_off(self) -> None:
        self.removed.emit(self._names[self.list.currentRow()])

    def follow(self, own: Sequence[ShelfItem], saved: Sequence[ShelfItem], system: System) -> None:
        """Show the cups of the job, then those saved for every job."""
        names = {item.name for item in own}
        rows = [f"{cup_words(item, system)} (this job)" for item in own]
        rows += [cup_words(item, system) for item in saved if item.name not in names]
        self._names = [*(i.name for i in own), *(i.name for i in saved if i.name not in names)]
        self.list.clear()
        self.list.addItems(rows)
        self.list.setVisible(bool(rows))
        self.off.setVisible(bool(rows))

    def typed(self) -> tuple[str, str, dict[str, str], str]:
        """Return name, kind, sizes and unit as they stand in the boxes."""
        sizes = {key: box.text() for key, box in self.sizes.items()}
        return self.name.text(), self.kind.currentText(), sizes, self.unit.currentText()

    def clear(self) -> None:
        """Empty the boxes for the next cup."""
        for box in (self.name, *self.sizes.values()):
            box.clear()
        self.name.setFocus()
