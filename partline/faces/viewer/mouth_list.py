"""Mouths side by side in the window: compare them, look at one, take it."""

from __future__ import annotations

from qtpy.QtCore import Signal
from qtpy.QtWidgets import QHBoxLayout, QLabel, QListWidget, QPushButton, QVBoxLayout, QWidget

from partline.faces.figures import System
from partline.faces.mouth_choices import Compared, mouth_lines


class MouthList(QWidget):
    """A button that compares, a list of what came of it, a button that takes one.

    Signals
    -------
    compare()
    looked(object)
        Which row is looked at, or None.
    taken(int)
    """

    compare = Signal()
    looked = Signal(object)
    taken = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.ask, self.take = QPushButton("Compare mouths…"), QPushButton("Fill it there")
        self.ask.setToolTip("Works out what three other places for the resin to go in would bring: "
                            "air, cut, stretch and scar of each. Takes some minutes for a big "
                            "scan.")  # fmt: skip
        self.take.setToolTip("Makes the mouth that is picked out in the list that of the mould.")
        self.words, self.list = QLabel(), QListWidget()
        self.words.setWordWrap(True)
        self.list.setWordWrap(True)
        self.list.setAlternatingRowColors(True)
        self.list.setMinimumHeight(230)
        self.list.setToolTip("Click on a mouth to see in the picture where it would be.")
        self.ask.clicked.connect(self.compare)
        self.take.clicked.connect(lambda: self.taken.emit(self.list.currentRow()))
        self.list.currentRowChanged.connect(self._looked)
        row = QHBoxLayout()
        row.addWidget(self.ask)
        row.addWidget(self.take)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        for widget in (self.words, self.list):
            column.addWidget(widget)
        column.insertLayout(0, row)

    def _looked(self, row: int) -> None:
        self.take.setEnabled(row >= 0)
        self.looked.emit(row if row >= 0 else None)

    def follow(self, found: Compared | None, chosen: int | None, system: System) -> None:
        """Show a comparison; none hides the list."""
        for widget in (self.list, self.words, self.take):
            widget.setVisible(found is not None)
        if found is None:
            return
        self.words.setText("Air is exact for this scan with nothing tipped; the rest is estimated.")
        rows = mouth_lines(found.rows, system)
        self.list.blockSignals(True)
        if [self.list.item(k).text() for k in range(self.list.count())] != rows:
            self.list.clear()
            self.list.addItems(rows)
        self.list.setCurrentRow(-1 if chosen is None else chosen)
        self.list.blockSignals(False)
        refused = chosen is not None and bool(found.rows[chosen].refused)
        self.take.setEnabled(chosen is not None and not refused)
