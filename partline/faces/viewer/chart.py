"""The demould chart with the cut's end on a slider."""

from __future__ import annotations

from qtpy.QtCore import QPointF, QRectF, Qt, Signal
from qtpy.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from qtpy.QtWidgets import QSlider, QVBoxLayout, QWidget

from partline.cut.cut import Cut
from partline.faces import colours
from partline.faces.demould_chart import Chart, chart_of

_STEPS = 400


class _Plot(QWidget):
    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(112)
        self.chart: Chart | None = None
        self.at = 0.0

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw both bounds, the limit and where the slider stands."""
        if self.chart is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.Antialiasing)
        box = QRectF(8, 4, self.width() - 16, self.height() - 22)

        def place(x: float, y: float) -> QPointF:
            return QPointF(box.left() + x * box.width(), box.bottom() - y * box.height())

        ink = self.palette().text().color()
        painter.setPen(QPen(self.palette().mid().color(), 1))
        painter.drawRect(box)
        painter.setPen(QPen(ink, 1.4, Qt.DashLine))
        painter.drawLine(place(0, self.chart.limit), place(1, self.chart.limit))
        for line, style in ((self.chart.snaking, Qt.SolidLine), (self.chart.straight, Qt.DotLine)):
            painter.setPen(QPen(ink, 2.0, style))
            painter.drawPolyline(QPolygonF([place(float(x), float(y)) for x, y in line]))
        painter.setPen(QPen(QColor(colours.OTHER), 2.5))
        painter.drawLine(place(self.at, 0), place(self.at, 1))
        painter.setPen(ink)
        painter.drawText(place(0.02, self.chart.limit) + QPointF(0, -4), "working limit")
        under = QRectF(8, self.height() - 17, self.width() - 16, 17)
        painter.drawText(under, Qt.AlignLeft, "short cut")
        painter.drawText(under, Qt.AlignRight, "long cut")
        painter.end()


class DemouldChart(QWidget):
    """Stretch over the end of the cut, and a slider to try one.

    Signals
    -------
    tried(float)
        Height of the cut's end above the cup's floor [mm].
    """

    tried = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plot, self.slider = _Plot(), QSlider(Qt.Horizontal)
        self.slider.setRange(0, _STEPS)
        self.slider.setPageStep(_STEPS // 20)
        self.plot.setToolTip(
            "How far the rubber stretches for each end of the cut: solid where the piece is "
            "worked out bit by bit, dotted where it is pulled straight."
        )
        self.slider.setToolTip("Try how far to cut; the picture shows the place as a ring.")
        self.slider.setAccessibleName("End of the cut")
        self.slider.valueChanged.connect(self._moved)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.plot)
        column.addWidget(self.slider)

    def follow(self, cut: Cut, knife_mm: float | None) -> None:
        """Show the curve of a cut, and the height that is tried."""
        self.plot.chart = chart_of(cut)
        self.setVisible(self.plot.chart is not None)
        if self.plot.chart is not None and knife_mm is not None:
            share = self.plot.chart.share_of(knife_mm)
            self.slider.blockSignals(True)
            self.slider.setValue(round(share * _STEPS))
            self.slider.blockSignals(False)
            self.plot.at = share
        self.plot.update()

    def _moved(self, value: int) -> None:
        chart = self.plot.chart
        if chart is not None:
            share = value / _STEPS
            self.plot.at = share
            self.plot.update()
            self.tried.emit(chart.low_mm + share * (chart.high_mm - chart.low_mm))
