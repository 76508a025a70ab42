"""The questions about the bench: their forms beside the piece, and what is done with them."""

from __future__ import annotations

from qtpy.QtWidgets import QVBoxLayout, QWidget

from partline.errors import PartlineError
from partline.faces.asking import FORMS, answered
from partline.faces.cup_shelf import measured_cup, put_on, taken_off
from partline.faces.figures import System
from partline.faces.viewer.cups import Cups
from partline.faces.viewer.forms import Form
from partline.faces.viewer.rows import Notice
from partline.faces.workbench import Workbench
from partline.job import ShelfItem
from partline.workshop.shelf import read_shelf, save_shelf, shelf_path


class BenchForms(QWidget):
    """Shows the form of the question that is open, and takes the answer for a workbench."""

    def __init__(self, bench: Workbench, notice: Notice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench, self._notice = bench, notice
        self.form, self.cups = Form(), Cups()
        self.cups.added.connect(self._add)
        self.cups.removed.connect(self._remove)
        self._shown: object = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        column.addWidget(self.cups)

    def follow(self, question: str, system: System) -> None:
        """Show the form of a question; what is being typed into it stays."""
        base = self._bench.base
        if question not in FORMS or base is None:
            self.hide()
            self._shown = None
            return
        self.cups.setVisible(question == "cups")
        self.form.setVisible(question != "cups")
        now = (question, base, self._bench.shelf, system)
        if now != self._shown:
            self._shown = now
            if question == "cups":
                self.cups.follow(base.shelf, self._bench.shelf, system)
                self.cups.unit.setCurrentText("in" if system == "inches" else "mm")
            else:
                self.form.fill(base, question)
        self.show()

    def answer(self, question: str) -> None:
        """Take what stands in the form, and go on to the next question."""
        bench = self._bench
        base = bench.base
        rest = tuple(q for q in bench.asked if q != question)
        if base is None or (question == "cups" and not self._add_typed()):
            return
        try:
            base = base if question == "cups" else answered(base, question, self.form.typed())
        except PartlineError as fault:
            self._notice.say(str(fault), trouble=True)
            return
        self._notice.hide()
        bench.change(base=base, asked=rest)

    def later(self) -> None:
        """Leave what has not been said; the sheet asks for it."""
        self._notice.hide()
        self._bench.change(asked=())

    def ask(self, question: str) -> None:
        """Put one of the questions again."""
        self._bench.change(asked=(question,))

    def _add_typed(self) -> bool:
        """Add a cup that was typed and not yet added; False where it cannot be."""
        name, _, sizes, _ = self.cups.typed()
        return self._add() if name.strip() or any(sizes.values()) else True

    def _add(self) -> bool:
        bench = self._bench
        try:
            cup = measured_cup(*self.cups.typed())
            save_shelf(shelf_path(), put_on(read_shelf(shelf_path()), cup))
        except PartlineError as fault:
            self._notice.say(str(fault), trouble=True)
            return False
        self._notice.hide()
        self.cups.clear()
        self._own_without(cup.name, put_on(bench.shelf, cup))
        return True

    def _remove(self, name: str) -> None:
        try:
            save_shelf(shelf_path(), taken_off(read_shelf(shelf_path()), name))
        except PartlineError as fault:
            self._notice.say(str(fault), trouble=True)
            return
        self._own_without(name, taken_off(self._bench.shelf, name))

    def _own_without(self, name: str, shelf: tuple[ShelfItem, ...]) -> None:
        """Take a saved shelf, and a cup of that name out of the job's own."""
        base = self._bench.base
        if base is not None:
            own = taken_off(base.shelf, name)
            base = base if own == base.shelf else base.model_copy(update={"shelf": own})
        self._bench.change(base=base, shelf=shelf)
