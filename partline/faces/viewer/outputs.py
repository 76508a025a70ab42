"""What leaves the window by itself: the picture, the painted mesh, the cut's line, the print."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from qtpy.QtWidgets import QFileDialog, QWidget

from partline.errors import PartlineError
from partline.faces.exports import write_cut_lines, write_painted_mesh
from partline.faces.figures import System
from partline.faces.viewer.errands import Errands
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.pane import Pane
from partline.faces.viewer.rows import Notice
from partline.plan import Plan


class Outputs:
    """Asks where to, writes it, and tells in the notice where it is.

    Parameters
    ----------
    errands : Errands
        Knows whether the plan is fresh.
    """

    def __init__(
        self, errands: Errands, jobs: Jobs, pane: Pane, notice: Notice, window: QWidget
    ) -> None:
        self._errands, self._jobs, self._pane = errands, jobs, pane
        self._notice, self._window = notice, window

    def picture(self) -> None:
        """Save the picture as it is shown."""
        path = self._asked("Save the picture", "piece.png", "PNG (*.png)")
        if path is not None:
            self._pane.view.screenshot(str(path))
            self._notice.say(f"The picture is saved as {path}.", trouble=False)

    def mesh(self) -> None:
        """Save the piece as it stands, coloured by its detail and zones."""
        self._write("Save the painted mesh", "piece.ply", "Coloured mesh (*.ply)",
                    write_painted_mesh)  # fmt: skip

    def cut(self) -> None:
        """Save the cut's line twice: as a table, and as lines for another 3D program."""
        self._write("Save the cut's line", "cut.csv", "Points of the cut (*.csv)",
                    _cut_lines)  # fmt: skip

    def print(self, system: System) -> None:
        """Print the sheet and the cutting card, at true size."""
        from partline.faces.viewer.printing import PrintJob  # loads what sets pages

        plan = self._errands.fresh_plan()
        if plan is not None:
            PrintJob(plan, self._jobs, self._notice, self._window).ask(system)

    def _write(self, title: str, name: str, kind: str,
               write: Callable[[Plan, Path], Path]) -> None:  # fmt: skip
        plan = self._errands.fresh_plan()
        path = self._asked(title, name, kind) if plan is not None else None
        if plan is None or path is None:
            return
        try:
            written = write(plan, path)
        except PartlineError as fault:
            self._notice.say(str(fault), trouble=True)
            return
        self._notice.say(f"Saved as {written}, in millimetres.", trouble=False)

    def _asked(self, title: str, name: str, kind: str) -> Path | None:
        """Return the file that was asked for, its ending added where it was left out."""
        found, _ = QFileDialog.getSaveFileName(self._window, title, name, kind)
        if not found:
            return None
        ending = Path(name).suffix
        return Path(found if found.lower().endswith(ending) else found + ending)


def _cut_lines(plan: Plan, path: Path) -> Path:
    return write_cut_lines(plan, path.parent, name=path.stem)[0]
