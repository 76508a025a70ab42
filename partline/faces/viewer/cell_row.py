"""How fine a new surface round a scan is drawn, where one was asked for."""

from __future__ import annotations

import numpy as np
from qtpy.QtCore import Signal
from qtpy.QtWidgets import QDoubleSpinBox, QGridLayout, QLabel, QWidget

from partline.faces.workbench import Workbench
from partline.scan.rebuilding import CELLS


class CellRow(QWidget):
    """The size of the cells, the usual one at first; hidden where the scan is taken as it is.

    Signals
    -------
    chosen(float)
        The size [mm].
    """

    chosen = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.size = QDoubleSpinBox()
        self.size.setDecimals(2)
        self.size.setSingleStep(0.05)
        self.size.setSuffix(" mm")
        self.size.setToolTip("How far apart the points of the new surface lie on the finished "
                             "piece. Nothing finer is kept; finer takes longer.")  # fmt: skip
        # Not at each digit that is typed: all is worked out again.
        self.size.setKeyboardTracking(False)
        self.size.valueChanged.connect(self.chosen)
        self.usual = QLabel()
        self.usual.setWordWrap(True)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.addWidget(QLabel("Cells of the new surface:"), 0, 0)
        grid.addWidget(self.size, 0, 1)
        grid.addWidget(self.usual, 1, 0, 1, 2)

    def follow(self, bench: Workbench) -> None:
        """Show the size that is asked for."""
        scan = None if bench.base is None else bench.base.scan
        asked = scan is not None and scan.rebuild and bench.height_mm is not None
        self.setVisible(asked and bench.master is not None)
        if scan is None or not asked or bench.master is None:
            return
        diagonal = float(np.linalg.norm(bench.shown_surface().extents))
        usual = diagonal / CELLS
        self.size.blockSignals(True)
        # Coarser than a twentieth is refused.
        self.size.setRange(0.05, max(diagonal / 20, 0.1))
        self.size.setValue(usual if scan.cell_mm is None else scan.cell_mm)
        self.size.blockSignals(False)
        self.usual.setText(f"Usual for this piece: {usual:.2f} mm, our own choice. How far the new "
                           "surface lies from the scan stands above.")  # fmt: skip
