"""The section: a switch that cuts the block open, and two sliders for where."""

from __future__ import annotations

from qtpy.QtCore import Qt, QTimer, Signal
from qtpy.QtWidgets import QHBoxLayout, QLabel, QSlider, QWidget

_STEPS = 100


class SectionRow(QWidget):
    """Two sliders, shown while the block is cut open.

    Signals
    -------
    moved(object, bool)
        The section of the view, and whether a slider is still held.
    """

    moved = Signal(object, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 0, 8, 6)
        self.turn, self.shift = QSlider(Qt.Horizontal), QSlider(Qt.Horizontal)
        self.words = QLabel()
        for slider, word, low, high, tip in (
            (self.turn, "Turn the cut", -180, 180, "Turns the plane that opens the block: the "
             "half toward you is taken away while it looks at its front."),
            (self.shift, "Shift it", -_STEPS, _STEPS, "Shifts that plane toward the half that is "
             "taken away, or away from it."),
        ):  # fmt: skip
            slider.setRange(low, high)
            slider.setPageStep((high - low) // 24)
            slider.setToolTip(tip)
            slider.setAccessibleName(word)
            slider.setMaximumWidth(260)
            slider.valueChanged.connect(self._slid)
            slider.sliderReleased.connect(self._tell)
            row.addWidget(QLabel(word))
            row.addWidget(slider, 2)
        row.addWidget(self.words, 3)
        # Many steps in a row become one drawing.
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self._tell)
        self.hide()

    def section(self) -> tuple[float, float]:
        """Return what the sliders say."""
        return float(self.turn.value()), self.shift.value() / _STEPS

    def _slid(self) -> None:
        self._soon.start()

    def _tell(self) -> None:
        held = self.turn.isSliderDown() or self.shift.isSliderDown()
        self.moved.emit(self.section(), held)

    def follow(self, section: tuple[float, float] | None, words: str) -> None:
        """Show where the block is cut open; nothing where it is whole."""
        self.setVisible(section is not None)
        self.words.setText(words)
        if section is not None and not (self.turn.isSliderDown() or self.shift.isSliderDown()):
            for slider, value in ((self.turn, section[0]), (self.shift, section[1] * _STEPS)):
                slider.blockSignals(True)
                slider.setValue(round(value))
                slider.blockSignals(False)
