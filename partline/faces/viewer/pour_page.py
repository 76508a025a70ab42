"""The pours: what to do in words, the resin's moves to play, the sheet, and saving the job."""

from __future__ import annotations

from qtpy.QtWidgets import QWidget

from partline.faces.figures import System, length
from partline.faces.viewer.pages import Page, button
from partline.faces.viewer.play_row import PlayRow
from partline.faces.words import tip_words
from partline.plan import Plan


class PourPage(Page):
    """The two pours, step by step, and the sheet to have beside them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.print = button("Print the sheet…",
                            "Prints the sheet and the cutting card at true size.")  # fmt: skip
        self.job = button("Save the job…", "Saves what you decided as a job file to open again.")
        self.play = PlayRow()
        self.column.addWidget(self.play)
        for widget in (self.print, self.job):
            self.column.addWidget(widget)
        self.column.addStretch(1)

    def grey(self, stale: bool) -> None:
        """Grey it out while it tells of an earlier choice; nothing is played then."""
        super().grey(stale)
        self.play.setEnabled(not stale)
        if stale:
            self.play.rest()

    def follow(self, plan: Plan, system: System) -> None:
        """Show how each pour is tipped."""
        cup = plan.container
        self.play.follow(plan)
        self.say(
            f"Rubber: pour in a thin stream beside the piece until it stands "
            f"{length(cup.fill_line_mm, system)} below the rim of the {cup.name}.",
            tip_words(plan.rubber_pour, "rubber"),
            "Resin: turn the block over, mouth up. " + tip_words(plan.resin_pour, "resin"),
            "Then stand it up, top it up and cap it. If you use vacuum or a pressure pot, never "
            "go beyond what stands on its plate, and follow its own instructions.",
        )
