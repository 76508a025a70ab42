"""Everything for the bench into one folder: sheet for a browser, sheet as PDF, scene to share."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from partline.faces.drawings import ghosts
from partline.faces.figures import System
from partline.faces.move_stills import move_stills
from partline.faces.paper import PaperName
from partline.faces.scene_page import write_scene
from partline.faces.sheet import write_sheet
from partline.faces.sheet_pages import Spelling
from partline.faces.sheet_pdf import write_sheet_pdf
from partline.memory import give_back
from partline.plan import Plan
from partline.progress import Progress, silent, span

Format = Literal["html", "pdf", "both"]


def write_papers(
    plan: Plan,
    folder: str | Path,
    *,
    pictures: dict[str, bytes] | None = None,
    form: Format = "both",
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
    progress: Progress = silent,
) -> tuple[Path, ...]:
    """Write the bench sheet and the scene and return their paths.

    Parameters
    ----------
    form : {"html", "pdf", "both"}
        Of the bench sheet.
    progress : Progress
    plan, folder, pictures, paper, system, spelling
        As `write_sheet`.

    Raises
    ------
    PlanFileError
        If one cannot be written, or would take the place of a file of the user's.
    """
    written = []
    sheet = "Writing the bench sheet"
    ready_drawings(plan, span(progress, 0.0, 0.5))
    progress(0.5, sheet)
    if form in ("html", "both"):
        written.append(write_sheet(plan, folder, pictures=pictures, paper=paper, system=system,
                                   spelling=spelling))  # fmt: skip
    progress(0.6, sheet)
    if form in ("pdf", "both"):
        written.append(write_sheet_pdf(plan, folder, pictures=pictures, paper=paper,
                                       system=system, spelling=spelling))  # fmt: skip
    progress(0.8, "Writing the scene to share")
    give_back()
    written.append(write_scene(plan, folder, system=system, spelling=spelling))
    return tuple(written)


def ready_drawings(plan: Plan, progress: Progress = silent) -> None:
    """Work out what the sheet draws itself; it is kept with the plan, and not worked out twice."""
    progress(0.0, "Making the sheet's drawings")
    ghosts(plan)
    progress(0.4, "Making the sheet's drawings")
    move_stills(plan)
