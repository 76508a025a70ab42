"""Everything for the bench into one folder: sheet for a browser, sheet as PDF, scene to share."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, Literal

from partline.faces.aside import told
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

_SHEET, _SCENE = "Writing the bench sheet", "Writing the scene to share"
_DRAWINGS = "Making the sheet's drawings"
_USUAL_S = 1.0

Format = Literal["html", "pdf", "both"]


def write_papers(
    plan: Plan,
    folder: str | Path,
    *,
    pictures: dict[str, bytes] | Callable[[Progress], dict[str, bytes]] | None = None,
    form: Format = "both",
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
    progress: Progress = silent,
) -> tuple[Path, ...]:
    """Write the bench sheet and the scene and return their paths.

    Parameters
    ----------
    pictures : dict of str to bytes, or callable, optional
        As `write_sheet`; or what gives them when they are drawn, asked when all else is done.
    form : {"html", "pdf", "both"}
        Of the bench sheet.
    progress : Progress
    plan, folder, paper, system, spelling
        As `write_sheet`.

    Raises
    ------
    PlanFileError
        If one cannot be written, or would take the place of a file of the user's.
    """
    ready_drawings(plan, span(progress, 0.0, 0.05))
    scene = partial(write_scene, plan, folder, system=system, spelling=spelling)
    shown = told(scene, _SCENE, span(progress, 0.05, 0.2), usual_s=_USUAL_S)
    drawn = pictures(span(progress, 0.2, 0.7)) if callable(pictures) else pictures
    sheet: dict[str, Any] = {
        "pictures": drawn,
        "paper": paper,
        "system": system,
        "spelling": spelling,
    }
    written = []
    if form in ("html", "both"):
        html = partial(write_sheet, plan, folder, **sheet)
        written.append(told(html, _SHEET, span(progress, 0.7, 0.75), usual_s=_USUAL_S))
    if form in ("pdf", "both"):
        pdf = partial(write_sheet_pdf, plan, folder, **sheet)
        written.append(told(pdf, _SHEET, span(progress, 0.75, 1.0), usual_s=_USUAL_S))
    return (*written, shown)


def ready_drawings(plan: Plan, progress: Progress = silent) -> None:
    """Work out what the sheet draws itself; it is kept with the plan, and not worked out twice."""
    told(lambda: ghosts(plan), _DRAWINGS, span(progress, 0.0, 0.2), usual_s=_USUAL_S)
    told(lambda: move_stills(plan), _DRAWINGS, span(progress, 0.2, 1.0), usual_s=_USUAL_S)
    plan.stand.cavity.spare_memory()
    give_back()
