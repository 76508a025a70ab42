"""The page of each stage: what there is to know about it, and what can be changed there."""

from __future__ import annotations

from pathlib import Path

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QGridLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from partline.faces.figures import System, bubble, length, weight
from partline.faces.left_open import casting_open_g, grams_said
from partline.faces.viewer.cell_row import CellRow
from partline.faces.viewer.mouth_list import MouthList
from partline.faces.words import mix_words
from partline.faces.workbench import Workbench
from partline.plan import Plan


class Page(QScrollArea):
    """A column of text and buttons that scrolls where it is too long for the window."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarAlwaysOff)
        inside = QWidget()
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(14, 6, 14, 6)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignTop)
        self.words.setTextInteractionFlags(Qt.TextSelectableByMouse)
        self.column.addWidget(self.words)
        self.setWidget(inside)

    def grey(self, stale: bool) -> None:
        """Grey the words out while they tell of an earlier choice."""
        self.words.setEnabled(not stale)

    def say(self, *paragraphs: str) -> None:
        """Show paragraphs of text; empty ones are left out."""
        self.words.setText("\n\n".join(p for p in paragraphs if p))


def button(words: str, tip: str) -> QPushButton:
    made = QPushButton(words)
    made.setToolTip(tip)
    return made


class PiecePage(Page):
    """The scan, its size and its repairs; another scan, another height.

    Signals
    -------
    again(object)
        The path of a piece that was open lately.
    """

    again = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.other = button("Open another scan…", "Begin again with another scan or job file.")
        self.sizing = button("Change the height…", "Ask again how tall the finished piece is.")
        self.cells = CellRow()
        for widget in (self.cells, self.sizing, self.other):
            self.column.addWidget(widget)
        self.lately = QVBoxLayout()
        self.column.addLayout(self.lately)
        self.column.addStretch(1)

    def offer(self, recent: list[Path]) -> None:
        """Offer the pieces that were open lately, the last one first."""
        while self.lately.count():
            self.lately.takeAt(0).widget().deleteLater()
        for path in recent[:4]:
            again = button(f"{path.name}", f"Opens {path} again, as you left it.")
            again.clicked.connect(lambda _=False, path=path: self.again.emit(path))
            self.lately.addWidget(again)

    def follow(self, bench: Workbench) -> None:
        """Show the scan as it is sized now."""
        for k in range(self.lately.count()):
            self.lately.itemAt(k).widget().setVisible(bench.master is None)
        self.sizing.setEnabled(bench.height_mm is not None)
        self.other.setVisible(bench.master is not None)
        self.sizing.setVisible(bench.master is not None)
        self.cells.follow(bench)
        if bench.master is None:
            lately = "Open lately:" if self.lately.count() else ""
            self.say("Nothing is open yet.", lately)
            return
        faces = f"{Path(bench.master.path).name}: {len(bench.master.surface.faces):,} triangles."
        wide, deep, tall = (float(v) for v in bench.shown_surface().extents)
        size = "Its size is not known yet."
        if bench.height_mm is not None:
            size = " × ".join(length(v, "both") for v in (wide, deep, tall))
            size = f"Width × depth × height: {size}."
        # As they are at the size that is planned, once they are known.
        planned = bench.plan is not None and "piece" not in bench.stale()
        told = bench.plan.master if bench.plan is not None and planned else bench.master
        mended = [r.words for r in told.repairs]
        self.say(faces, size, *mended, *(bench.plan.master.warnings if bench.plan else ()))


class StandPage(Page):
    """Which way it stands, its front and its mouth."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.over = button("Lay it over", "Tips the piece a quarter turn forward, onto its front.")
        self.round = button("Turn it round", "Turns the piece a quarter round on its foot.")
        self.front = button("Change the front…", "Ask again which side is the front.")
        self.mouth = button("Change the mouth…", "Ask again where the resin goes in.")
        grid = QGridLayout()
        for k, widget in enumerate((self.over, self.round, self.front, self.mouth)):
            grid.addWidget(widget, k // 2, k % 2)
        self.column.addLayout(grid)
        self.mouths = MouthList()
        self.column.addWidget(self.mouths)
        self.column.addStretch(1)

    def follow(self, bench: Workbench) -> None:
        """Show how it stands."""
        self.front.setEnabled(bench.front_said)
        self.mouth.setEnabled(bench.mouth_said)
        for widget in (self.over, self.round):
            widget.setEnabled(bench.height_mm is not None)
        if bench.plan is not None and "stand" not in bench.stale():
            stand = bench.plan.stand
            hollow = [
                f"A hollow of {bubble(h.volume_mm3)} under the base: fill it with clay first."
                for h in stand.hollows
            ]
            self.say(*stand.warnings, *stand.words, *hollow)
            return
        where = "the base it stands on" if bench.mouth is None else "the place you clicked on"
        self.say(
            "It will stand in the cup like this, on a foot block.",
            f"The resin goes in at {where}." if bench.mouth_said else "",
        )


_AGAIN = {
    "cups": ("Cups…", "Shows your shelf: add a cup, or take one off."),
    "rubber": ("Rubber's label…", "Asks again what the rubber's label says."),
    "resin": ("Resin's label…", "Asks again what the resin's label says."),
    "ratings": ("Scale and ratings…", "Asks again for scale, vacuum and pressure pot."),
    "number": ("How many…", "Asks again how many good castings you want."),
}


class WeighPage(Page):
    """The cup and what goes on the scale.

    Signals
    -------
    ask(str)
        One of `asking.FORMS` is to be put again.
    """

    ask = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid, self.again = QGridLayout(), {}
        for k, (question, said) in enumerate(_AGAIN.items()):
            self.again[question] = button(*said)
            self.again[question].clicked.connect(
                lambda _=False, question=question: self.ask.emit(question)
            )
            grid.addWidget(self.again[question], k // 2, k % 2)
        self.column.addLayout(grid)
        self.column.addStretch(1)

    def follow(self, plan: Plan, system: System) -> None:
        """Show the container, the rubber and the resin."""
        cup, step = plan.container, plan.job.shop.scale_resolution_g
        others = ", ".join(f"{name} ({weight(grams)})" for name, grams in cup.others[:3])
        casting = grams_said(plan.resin.casting_g, casting_open_g(plan), "estimate").words
        self.say(
            f"{cup.name}: fill to {length(cup.fill_line_mm, system)} below the rim. The thinnest "
            f"wall is {length(cup.wall_mm, system)}.",
            f"Also fit: {others}." if others else "",
            f"Rubber, {weight(cup.mix_g)} in all. Cup on the scale, zero: "
            f"{mix_words(plan.rubber_mix, step)}.",
            f"Resin, {casting} in a casting, mix "
            f"{weight(plan.resin.mix_g)}: {mix_words(plan.resin.mix, step)}.",
            "Read the safety data sheets of both before you open them: gloves, eyes, and air to "
            "breathe as they and your local rules ask.",
        )
