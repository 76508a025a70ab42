"""The tilt dial: which way and how far, with the air of every tip behind it."""

from __future__ import annotations

from qtpy.QtCore import QPointF, QRectF, Qt, Signal
from qtpy.QtGui import QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from qtpy.QtWidgets import QSizePolicy, QWidget

from partline.air.direction_map import DirectionMap
from partline.faces.dial import dial_picture
from partline.faces.tipping import Tip, from_dial, on_dial, stepped
from partline.faces.view import PourName

_ARROWS = {
    Qt.Key_Left: "left", Qt.Key_Right: "right", Qt.Key_Down: "front", Qt.Key_Up: "back",
}  # fmt: skip


class Dial(QWidget):
    """A disc to click on, drag in, or step through with the arrow keys.

    Signals
    -------
    tipped(object, bool)
        The tip, and whether it is still moving.
    """

    tipped = Signal(object, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(186)
        self.setSizePolicy(QSizePolicy.Expanding, QSizePolicy.Fixed)
        self.setFocusPolicy(Qt.StrongFocus)
        self.setToolTip(
            "Seen from above with the front toward you: click or drag toward the side that goes "
            "down. The darker it is there, the more air stays. The arrow keys tip it by 2 degrees."
        )
        self.setAccessibleName("Tilt dial")
        self._found: DirectionMap | None = None
        self._pour: PourName = "rubber"
        self._tip: Tip | None = None
        self._best: Tip | None = None

    def follow(self, found: DirectionMap, pour: PourName, tip: Tip | None) -> None:
        """Show the map of a pour and the tip of the view."""
        self._found, self._pour, self._tip = found, pour, tip
        self._best = (found.azimuth_deg, found.tilt_deg)
        self.update()

    def reach(self) -> float:
        """Return the tip at the rim [degrees]."""
        return 1.0 if self._found is None else max(self._found.within_deg, 1.0)

    def point_of(self, tip: Tip | None) -> QPointF:
        """Return where a tip lies in the widget."""
        x, y = on_dial(tip, self._pour, self.reach())
        middle, radius = self._round()
        return QPointF(middle.x() + x * radius, middle.y() - y * radius)

    def _round(self) -> tuple[QPointF, float]:
        return QPointF(self.width() / 2, self.height() / 2 - 7), min(self.width(), 165) / 2

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the map, its rings, the best tip and the one that is shown."""
        if self._found is None:
            return
        middle, radius = self._round()
        size = round(2 * radius * self.devicePixelRatioF())
        pixels = dial_picture(self._found, self._pour, size)
        image = QImage(pixels.tobytes(), size, size, 4 * size, QImage.Format_RGBA8888)
        # Dot for dot as on the screen, so that nothing is scaled while it is dragged.
        image.setDevicePixelRatio(self.devicePixelRatioF())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.Antialiasing)
        painter.setOpacity(1.0 if self.isEnabled() else 0.4)
        painter.drawImage(QPointF(middle.x() - radius, middle.y() - radius), image)
        pen = QPen(self.palette().mid().color(), 1.0)
        painter.setPen(pen)
        for share in (0.5, 1.0):
            painter.drawEllipse(middle, share * radius, share * radius)
        painter.setPen(self.palette().text().color())
        painter.drawText(QRectF(0, self.height() - 17, self.width(), 17), Qt.AlignCenter, "front")
        rim = QRectF(middle.x() + radius * 0.75, 0, self.width(), 18)
        painter.drawText(rim, Qt.AlignLeft, f"rim: {self.reach():.0f}°")
        self._mark(painter, self._best, hollow=True)
        self._mark(painter, self._tip, hollow=False)
        painter.end()

    def _mark(self, painter: QPainter, tip: Tip | None, *, hollow: bool) -> None:
        at = self.point_of(tip)
        painter.setPen(QPen(Qt.white, 4.0))
        painter.setBrush(Qt.NoBrush)
        painter.drawEllipse(at, 7.0, 7.0)
        painter.setPen(QPen(Qt.black, 2.0))
        painter.setBrush(Qt.NoBrush if hollow else Qt.black)
        painter.drawEllipse(at, 7.0 if hollow else 4.5, 7.0 if hollow else 4.5)

    def _tell(self, event: QMouseEvent, moving: bool) -> None:
        middle, radius = self._round()
        x = (event.position().x() - middle.x()) / radius
        y = (middle.y() - event.position().y()) / radius
        self.tipped.emit(from_dial(x, y, self._pour, self.reach()), moving)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Tip toward the click."""
        if event.button() == Qt.LeftButton and self._found is not None:
            self._tell(event, True)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Follow the drag."""
        if event.buttons() & Qt.LeftButton and self._found is not None:
            self._tell(event, True)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """End the drag."""
        if event.button() == Qt.LeftButton and self._found is not None:
            self._tell(event, False)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Step with the arrow keys; Home is level."""
        if self._found is not None and event.key() in _ARROWS:
            way = _ARROWS[event.key()]
            tip = stepped(self._tip, way, pour=self._pour, reach=self.reach())
            self.tipped.emit(tip, False)
        elif event.key() == Qt.Key_Home:
            self.tipped.emit(None, False)
        else:
            super().keyPressEvent(event)
