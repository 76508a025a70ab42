"""The cut: where, how far, what else was weighed; painting where it stays off or goes."""

from __future__ import annotations

import math

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QComboBox,
    QGridLayout,
    QLabel,
    QListWidget,
    QSpinBox,
    QWidget,
)

from partline.cut.cut import Cut
from partline.faces.demould_chart import chart_words, likely_end
from partline.faces.figures import System, length
from partline.faces.keeping_cut import led_at_all
from partline.faces.page_weighed import which_cuts
from partline.faces.painting import BRUSHES, zone_words
from partline.faces.sheet_blocks import sentence
from partline.faces.sheet_parts import stops_from, three_depths, web_place
from partline.faces.viewer.chart import DemouldChart
from partline.faces.viewer.pages import Page, button
from partline.faces.words import clearance_words, short_verdict
from partline.faces.workbench import Workbench
from partline.plan import Plan

_BRUSH_TIPS = {
    "stay off": "Paint where the cut must not run: drag over the piece.",
    "go here": "Paint where the cut is welcome: drag over the piece.",
    "pass through": "Click on places that the cut must pass through.",
    "wipe": "Wipes paint off again: drag over it.",
}
_HOW_TO_LEAD = "Drag a line in the picture, or its start or end: the rest of it follows."
_COUNTS = (("as many as it needs", "auto"), ("none", 0), ("one", 1), ("two", 2),
           ("one, over the floor", "over the floor"))  # fmt: skip
_BESIDE = (("smooth", "smooth the last few mm"), ("jagged", "jagged all the way in"))


class CutPage(Page):
    """Where to cut, how far, and whether it comes out.

    Signals
    -------
    brush(str)
        What a drag paints; "turn" for nothing.
    size(float)
        Radius of the brush [mm].
    cuts(object)
        How many cuts are asked for: "auto", 0, 1, 2 or "over the floor".
    beside(str)
        How the knife goes next to the piece: "smooth" or "jagged".
    other(object)
        Index of the alternative to show beside the chosen cut, or None.
    tried(float)
        Place at which the cut's end is tried, as the chart counts it [mm].
    kept(int)
        Index of the alternative to make the chosen cut.
    freed()
        The lines are to run where the plan finds best.
    """

    brush = Signal(str)
    size = Signal(float)
    cuts = Signal(object)
    beside = Signal(str)
    other = Signal(object)
    tried = Signal(float)
    kept = Signal(int)
    freed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column.insertLayout(0, self._how_many())
        self.column.insertLayout(1, self._brushes())
        self.painted, self.led = QLabel(), QLabel()
        self.painted.setWordWrap(True)
        self.led.setWordWrap(True)
        self.led.setMinimumHeight(4 * self.led.fontMetrics().lineSpacing())
        self.led.setAlignment(Qt.AlignTop)
        self.free = button("Let the lines run by themselves",
                           "Forgets where you led the lines and which cut you kept; paint "
                           "stays.")  # fmt: skip
        self.free.clicked.connect(self.freed)
        for k, widget in enumerate((self.painted, self.led, self.free)):
            self.column.insertWidget(2 + k, widget)
        self.chart, self.end = DemouldChart(), QLabel()
        self.end.setWordWrap(True)
        self.chart.tried.connect(self.tried)
        self.column.addWidget(self.chart)
        self.column.addWidget(self.end)
        self.weighed, self.list = (
            QLabel("Also weighed; click on one to see it in blue:"),
            QListWidget(),
        )
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(84)
        self.list.setToolTip("Shows a cut that was weighed and not chosen beside the chosen one.")
        self.list.currentRowChanged.connect(lambda row: self.other.emit(row if row >= 0 else None))
        self.keep = button("Keep this one",
                           "Makes the cut that is shown in blue the one to make; the job keeps "
                           "it.")  # fmt: skip
        self.keep.clicked.connect(lambda: self.kept.emit(self.list.currentRow()))
        for widget in (self.weighed, self.list, self.keep):
            self.column.addWidget(widget)
        # The words are long; what a hand can do comes before them.
        self.column.removeWidget(self.words)
        self.column.addWidget(self.words)
        self.column.addStretch(1)

    def _how_many(self) -> QGridLayout:
        self.many, self.inside = QComboBox(), QComboBox()
        self.many.addItems([words for words, _ in _COUNTS])
        self.many.setToolTip(
            "How many cuts you want; one over the floor of the mould goes up a side and on over "
            "the top of the piece. The plan is worked out again."
        )
        self.many.activated.connect(lambda k: self.cuts.emit(_COUNTS[k][1]))
        self.inside.addItems([words for _, words in _BESIDE])
        self.inside.setToolTip(
            "How the knife goes next to the piece: smooth leaves the finer line, jagged keys the "
            "lips up to the skin."
        )
        self.inside.activated.connect(lambda k: self.beside.emit(_BESIDE[k][0]))
        grid = QGridLayout()
        for row, (words, box) in enumerate((("Cuts:", self.many), ("At the piece:", self.inside))):
            grid.addWidget(QLabel(words), row, 0)
            grid.addWidget(box, row, 1)
            box.setSizeAdjustPolicy(QComboBox.AdjustToMinimumContentsLengthWithIcon)
        grid.setColumnStretch(1, 1)
        return grid

    def _brushes(self) -> QGridLayout:
        grid = QGridLayout()
        self.tools = {}
        for k, name in enumerate(BRUSHES):
            tool = button(name.capitalize(), _BRUSH_TIPS[name])
            tool.setCheckable(True)
            tool.clicked.connect(lambda on, name=name: self.brush.emit(name if on else "turn"))
            grid.addWidget(tool, k // 2, k % 2)
            self.tools[name] = tool
        self.radius = QSpinBox()
        self.radius.setRange(2, 120)
        self.radius.setValue(8)
        self.radius.setSuffix(" mm")
        self.radius.setToolTip("How wide the brush is on the finished piece.")
        self.radius.valueChanged.connect(lambda mm: self.size.emit(mm / 2))
        grid.addWidget(QLabel("Brush, across:"), 2, 0)
        grid.addWidget(self.radius, 2, 1)
        return grid

    def lead(self, words: str) -> None:
        """Say what the lines do under the hand, or how to take hold of one."""
        self.led.setText(words or _HOW_TO_LEAD)

    def hold(self, mode: str) -> None:
        """Show which brush is held."""
        for name, tool in self.tools.items():
            tool.setChecked(name == mode)

    def grey(self, stale: bool) -> None:
        """Grey the results out while they tell of an earlier choice; the brushes stay."""
        super().grey(stale)
        for widget in (self.chart, self.end, self.list):
            widget.setEnabled(not stale)
        self.keep.setEnabled(not stale and self.list.currentRow() >= 0)

    def follow(self, plan: Plan, bench: Workbench, system: System) -> None:
        """Show the chosen cut, an entry for each line."""
        base = bench.base
        if base is not None:
            self.painted.setText(zone_words(base.zones))
            self.free.setEnabled(led_at_all(base))
            self.many.setCurrentIndex([n for _, n in _COUNTS].index(base.cut.cuts))
            self.inside.setCurrentIndex([n for n, _ in _BESIDE].index(base.cut.next_to_piece))
        self._tell(plan, system)
        self._weighed(plan, bench, system)
        knife = bench.view.knife_mm
        if knife is None and plan.cut.lines:
            knife = likely_end(plan.cut.lines[0])
        self.show_end(plan, knife, system)

    def show_end(self, plan: Plan, knife_mm: float | None, system: System) -> None:
        """Show the stretch with the cut's end at a place [mm], on the chart and in words."""
        self.chart.follow(plan.cut, knife_mm)
        self.end.setText("" if knife_mm is None else chart_words(plan, knife_mm, system))
        self.end.setVisible(bool(self.end.text()) and self.chart.plot.chart is not None)

    def _weighed(self, plan: Plan, bench: Workbench, system: System) -> None:
        rows = [
            f"{which_cuts(c)}{_long(c, system)}: {short_verdict(c)}"
            + (f"; {length(c.clearance_mm, system)} clear of detail"
               if math.isfinite(c.clearance_mm) else "")
            + (f"; {c.cleanup_min:.0f} min of clean-up" if c.lines else "")
            for c in plan.cut.alternatives
        ]  # fmt: skip
        self.weighed.setVisible(bool(rows))
        self.list.setVisible(bool(rows))
        self.keep.setVisible(bool(rows))
        self.list.blockSignals(True)
        if [self.list.item(k).text() for k in range(self.list.count())] != rows:
            self.list.clear()
            self.list.addItems(rows)
        chosen = bench.view.choice
        self.list.setCurrentRow(-1 if chosen is None else chosen)
        self.list.blockSignals(False)
        self.keep.setEnabled(chosen is not None)

    def _tell(self, plan: Plan, system: System) -> None:
        cut = plan.cut
        lines = []
        for k, line in enumerate(cut.lines, 1):
            left, right = clearance_words(line, plan.stand, system)
            first, likely, last = three_depths(plan, line, system)
            lines.append(
                f"Cut {k}: {length(line.length_mm, system)} on the piece. "
                f"{sentence(stops_from(cut)).rstrip('.')}: try at {first}, likely {likely}, never "
                f"past {last}. On your left, mouth up: {left}; on your right: {right}."
            )
        strain = f"The rubber stretches about {100 * cut.stretch:.0f} % at the likely mark, an "
        strain += f"estimate; its working limit is {100 * cut.working_strain:.0f} %."
        web = f"Leave {length(cut.web_mm, system)} of rubber uncut {web_place(cut)} (the web)."
        verdict = cut.verdict.rstrip(".")
        strain = strain if math.isfinite(cut.stretch) else ""
        self.say(f"{verdict[:1].upper()}{verdict[1:]}.", *lines, strain,
                 web if cut.lines else "", cut.certificate, *cut.words,
                 "A hand cuts within 2 to 3 mm of a line.")  # fmt: skip


def _long(cut: Cut, system: System) -> str:
    return f", {length(cut.length_mm, system)}" if cut.lines else ""
