"""The last stage: the run, what the log says, and a form that writes a pull down."""

from __future__ import annotations

import datetime
from html import escape

from qtpy.QtCore import Qt, Signal
from qtpy.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QSpinBox,
    QToolButton,
    QWidget,
)

from partline.faces.figures import System
from partline.faces.pull_said import next_mould, said_pull
from partline.faces.run_told import run_head, run_sections
from partline.faces.viewer.pages import Page, button
from partline.plan import Plan
from partline.workshop.log import Pull

_FIELDS = {
    "voids": ("Voids", 'like 2 5; "none" if you looked',
              "The numbers of the places where the casting has a hole, as in the picture and on "
              "the sheet; other for a place without a number."),
    "length": ("Length", "measured on the casting",
               "The same length as measured on the master; it tells how much castings shrink."),
    "pigment": ("Pigment", "in 100 g of resin", "How much pigment went into 100 g of resin."),
    "day": ("Date", "", "Year, month, day; today where nothing is typed."),
    "note": ("Note", "whatever else there is to say", "Anything to remember about this pull."),
}  # fmt: skip


class PullForm(QWidget):
    """Good or bad, which mould, and what was seen; emptied once it is written down.

    Signals
    -------
    written()
        The button was pressed.
    """

    written = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 4)
        self.good, self.bad = QToolButton(), QToolButton()
        self._came = QButtonGroup(self)
        first = QHBoxLayout()
        for choice, word, tip in (
            (self.good, "Good", "This casting can be used."),
            (self.bad, "Bad", "This casting cannot be used."),
        ):
            choice.setText(word)
            choice.setToolTip(tip)
            choice.setCheckable(True)
            self._came.addButton(choice)
            first.addWidget(choice)
        self.mould = QSpinBox()
        self.mould.setRange(1, 999_999)
        self.mould.setFixedWidth(72)
        self.mould.setToolTip("Which mould it came out of.")
        # Narrow enough that nothing reaches under the page's scroll bar.
        self.mould.setFixedWidth(64)
        first.setSpacing(4)
        first.addStretch(1)
        first.addWidget(QLabel("Mould"))
        first.addWidget(self.mould)
        grid.addWidget(QLabel("A pull"), 0, 0)
        grid.addLayout(first, 0, 1)
        self.fields: dict[str, QLineEdit] = {}
        for row, (name, (word, hint, tip)) in enumerate(_FIELDS.items(), 1):
            field = self.fields[name] = QLineEdit()
            field.setPlaceholderText(hint)
            field.setToolTip(tip)
            field.returnPressed.connect(self.written)
            grid.addWidget(QLabel(word), row, 0)
            grid.addWidget(field, row, 1)
        self.write = button("Write it down",
                            "Adds this pull to the log beside the job file, and plans the run "
                            "again with it.")  # fmt: skip
        self.write.clicked.connect(self.written)
        grid.addWidget(self.write, len(_FIELDS) + 1, 0, 1, 2)

    def pull(self, plan: Plan, system: System) -> Pull:
        """Return the pull as typed.

        Raises
        ------
        LogError
            If something in it cannot be meant.
        """
        good = None if self._came.checkedButton() is None else self.good.isChecked()
        said = {name: field.text() for name, field in self.fields.items()}
        return said_pull(plan, good=good, mould=self.mould.value(), system=system, **said)

    def clear(self) -> None:
        """Empty it for the next pull; the mould stays."""
        self._came.setExclusive(False)
        self.good.setChecked(False)
        self.bad.setChecked(False)
        self._came.setExclusive(True)
        for field in self.fields.values():
            field.clear()

    def follow(self, plan: Plan) -> None:
        """Offer the mould last pulled from, where another log has come."""
        self.fields["day"].setPlaceholderText(datetime.date.today().isoformat())
        log = None if plan.production is None else plan.production.log
        last = next_mould(log)
        if self.property("last") != last:
            self.setProperty("last", last)
            self.mould.setValue(last)


class AfterPage(Page):
    """The run in short, the form, and then all the rest of it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form = PullForm()
        self.more = QLabel()
        self.more.setWordWrap(True)
        self.more.setAlignment(Qt.AlignTop)
        self.more.setTextFormat(Qt.RichText)
        self.more.setTextInteractionFlags(Qt.TextSelectableByMouse)
        self.column.addWidget(self.form)
        self.column.addWidget(self.more)
        self.column.addStretch(1)

    def grey(self, stale: bool) -> None:
        """Grey it out while it tells of an earlier choice; nothing is written down then."""
        super().grey(stale)
        self.more.setEnabled(not stale)
        self.form.setEnabled(not stale)

    def follow(self, plan: Plan, system: System) -> None:
        """Show what the run takes and what the log says."""
        self.say(*run_head(plan))
        self.form.follow(plan)
        seam = (
            f"Cleaning up the parting line takes about {plan.cut.cleanup_min:.0f} min a casting, "
            "an estimate."
            if plan.cut.lines
            else "There is no parting line to clean up."
        )
        dust = (
            "Sanding dust of resin is not to be breathed: wet it, draw it off at its source, and "
            "go by the safety data sheet."
        )
        parts = [_html(s.heading, s.lines) for s in run_sections(plan, system)]
        self.more.setText("".join([*parts, _html("Cleaning up", (seam, dust))]))


def _html(heading: str, lines: tuple[str, ...]) -> str:
    rows = "".join(f'<p style="margin: 0 0 4px 0">{escape(line)}</p>' for line in lines)
    return f'<p style="margin: 10px 0 4px 0"><b>{escape(heading)}</b></p>{rows}'
