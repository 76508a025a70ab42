"""The page of each stage: what there is to know about it, and what can be changed there."""

from __future__ import annotations

import math

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QGridLayout,
    QLabel,
    QListWidget,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from partline.faces.figures import System, bubble, count, length, weight
from partline.faces.scene import pour_of
from partline.faces.view import Workbench
from partline.faces.words import clearance_words, mix_words, place_words, tip_words
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

    def say(self, *paragraphs: str) -> None:
        """Show paragraphs of text; empty ones are left out."""
        self.words.setText("\n\n".join(p for p in paragraphs if p))


def _button(words: str, tip: str) -> QPushButton:
    button = QPushButton(words)
    button.setToolTip(tip)
    return button


class PiecePage(Page):
    """The scan, its size and its repairs; another scan, another height."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.other = _button("Open another scan…", "Begin again with another scan or job file.")
        self.sizing = _button("Change the height…", "Ask again how tall the finished piece is.")
        for button in (self.sizing, self.other):
            self.column.addWidget(button)
        self.column.addStretch(1)

    def follow(self, bench: Workbench) -> None:
        """Show the scan as it is sized now."""
        self.sizing.setEnabled(bench.height_mm is not None)
        self.other.setVisible(bench.master is not None)
        self.sizing.setVisible(bench.master is not None)
        if bench.master is None:
            self.say("Nothing is open yet.")
            return
        faces = f"{bench.master.path}: {len(bench.master.surface.faces):,} triangles."
        wide, deep, tall = (float(v) for v in bench.shown_surface().extents)
        size = "Its size is not known yet."
        if bench.height_mm is not None:
            size = " × ".join(length(v, "both") for v in (wide, deep, tall))
            size = f"Width × depth × height: {size}."
        mended = [r.words for r in bench.master.repairs]
        self.say(faces, size, *mended, *(bench.plan.master.warnings if bench.plan else ()))


class StandPage(Page):
    """Which way it stands, its front and its mouth."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.over = _button("Lay it over", "Tips the piece a quarter turn forward, onto its front.")
        self.round = _button("Turn it round", "Turns the piece a quarter round on its foot.")
        self.front = _button("Change the front…", "Ask again which side is the front.")
        self.mouth = _button("Change the mouth…", "Ask again where the resin goes in.")
        grid = QGridLayout()
        for k, button in enumerate((self.over, self.round, self.front, self.mouth)):
            grid.addWidget(button, k // 2, k % 2)
        self.column.addLayout(grid)
        self.column.addStretch(1)

    def follow(self, bench: Workbench) -> None:
        """Show how it stands."""
        self.front.setEnabled(bench.front_said)
        self.mouth.setEnabled(bench.mouth_said)
        for button in (self.over, self.round):
            button.setEnabled(bench.height_mm is not None)
        if bench.plan is not None:
            stand = bench.plan.stand
            hollow = [
                f"A hollow of {bubble(h.volume_mm3)} under the base: fill it with clay first."
                for h in stand.hollows
            ]
            self.say(*stand.words, *hollow)
            return
        where = "the base it stands on" if bench.mouth is None else "the place you clicked on"
        self.say(
            "The piece is shown as it will stand in the cup, on its foot block.",
            f"The resin goes in at {where}." if bench.mouth_said else "",
        )


class AirPage(Page):
    """The places that hold air in the pour that is shown, numbered as in the picture.

    Signals
    -------
    selected(object)
        Index of a pocket, or None.
    """

    selected = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = QListWidget()
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(150)
        self.list.setToolTip("Click on a place to point it out in the picture.")
        self.list.currentRowChanged.connect(
            lambda row: self.selected.emit(row if row >= 0 else None)
        )
        self.column.addWidget(self.list, 1)

    def follow(self, plan: Plan, bench: Workbench, system: System) -> None:
        """Show the pockets of the pour that is shown."""
        pour = pour_of(plan, bench.view.pour)
        name = "rubber" if bench.view.pour == "rubber" else "resin"
        air = pour.level
        self.say(
            f"{name.capitalize()} pour, kept level: {count(len(air.pockets), 'place')} "
            f"{'holds' if len(air.pockets) == 1 else 'hold'} air, {bubble(air.volume_mm3)} in all.",
            tip_words(pour, bench.view.pour),
        )
        rows = [
            f"{k + 1}.  {bubble(p.volume_mm3)}, {place_words(p.apex, plan.stand, system)}"
            + ("" if p.wide_enough else " (hangs on a narrow neck: may hold more)")
            for k, p in enumerate(air.pockets)
        ]
        self.list.blockSignals(True)
        if [self.list.item(k).text() for k in range(self.list.count())] != rows:
            self.list.clear()
            self.list.addItems(rows)
        chosen = bench.view.selected
        self.list.setCurrentRow(-1 if chosen is None else chosen)
        self.list.blockSignals(False)


class CutPage(Page):
    """Where to cut, how far, and whether it comes out."""

    def follow(self, plan: Plan, system: System) -> None:
        """Show the chosen cut, an entry for each line."""
        cut = plan.cut
        lines = []
        for k, line in enumerate(cut.lines):
            left, right = clearance_words(line, plan.stand, system)
            lines.append(
                f"Cut {k + 1}: {length(line.length_mm, system)} on the piece. Down from the mouth "
                f"face: try at {length(line.marks.try_here_mm, system)}, likely "
                f"{length(line.marks.likely_mm, system)}, never past "
                f"{length(line.marks.never_past_mm, system)}. On your left, mouth up: {left}; on "
                f"your right: {right}."
            )
        strain = f"The rubber stretches about {100 * cut.stretch:.0f} % at the likely mark, an "
        strain += f"estimate; its working limit is {100 * cut.working_strain:.0f} %."
        web = f"Leave {length(cut.web_mm, system)} of rubber uncut at the far face (the web)."
        verdict = cut.verdict.rstrip(".")
        strain = strain if math.isfinite(cut.stretch) else ""
        self.say(f"{verdict[:1].upper()}{verdict[1:]}.", *lines, strain,
                 web if cut.lines else "", cut.certificate, *cut.words,
                 "A hand cuts within 2 to 3 mm of a line.")  # fmt: skip


class WeighPage(Page):
    """The cup and what goes on the scale."""

    def follow(self, plan: Plan, system: System) -> None:
        """Show the container, the rubber and the resin."""
        cup, step = plan.container, plan.job.shop.scale_resolution_g
        others = ", ".join(f"{name} ({weight(grams)})" for name, grams in cup.others[:3])
        self.say(
            f"{cup.name}: fill to {length(cup.fill_line_mm, system)} below the rim. The thinnest "
            f"wall is {length(cup.wall_mm, system)}.",
            f"Also fit: {others}." if others else "",
            f"Rubber, {weight(cup.mix_g)} in all. Cup on the scale, zero: "
            f"{mix_words(plan.rubber_mix, step)}.",
            f"Resin, {weight(plan.resin.casting_g)} in a casting, mix "
            f"{weight(plan.resin.mix_g)}: {mix_words(plan.resin.mix, step)}.",
            "Read the safety data sheets of both before you open them: gloves, eyes, and air to "
            "breathe as they and your local rules ask.",
        )


class PourPage(Page):
    """The run, the sheet, the job file."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sheet = _button("Make the bench sheet…",
                             "Writes the sheet to print into a folder you choose.")  # fmt: skip
        self.job = _button("Save the job…", "Saves what you decided as a job file to open again.")
        for button in (self.sheet, self.job):
            self.column.addWidget(button)
        self.column.addStretch(1)

    def follow(self, plan: Plan) -> None:
        """Show what the run takes."""
        run = plan.run
        self.say(
            f"{count(run.good, 'good casting')}: {count(run.pulls, 'pull')} from "
            f"{count(run.blocks, 'mould')} in about {count(run.days, 'day')}. What limits it: "
            f"{run.bottleneck}."
        )
