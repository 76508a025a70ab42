"""A job planned into a folder: plan, pictures, cutting card, sheet and scene, and what to say."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from partline.progress import Progress, silent, span

if TYPE_CHECKING:
    from partline.faces.stills_aside import Answer
    from partline.job import Job
    from partline.workshop.log import Log

# Everything else is imported where it is needed: of a large scan only the process that plans it
# loads the planning.

Units = Literal["mm", "inches", "both"]

PLANNED = 0.85
"""The share of the work after which the folder is written."""


@dataclass(frozen=True)
class Said:
    """What is said at the end.

    Attributes
    ----------
    lines : tuple of str
        Results, and where they are.
    trouble : tuple of str
        What could not be done.
    """

    lines: tuple[str, ...]
    trouble: tuple[str, ...] = ()


def plan_into(
    job: Job, folder: Path, *, log: Log | None, pictures: bool, show: Units,
    progress: Progress = silent, **sheet: Any,
) -> Said:  # fmt: skip
    """Plan a job into a folder; return what to say.

    Parameters
    ----------
    job : Job
    folder : Path
    log : Log, optional
        What pulls gave so far.
    pictures : bool
    show : {"mm", "inches", "both"}
        Lengths on the sheet.
    progress : Progress
    **sheet
        `form`, `paper` and `spelling` of the sheet, as `papers.write_papers`.

    Raises
    ------
    PartlineError
        Of whichever stage cannot do what the job asks, or if the folder cannot be written.
    """
    from partline.faces.aside import aside, told
    from partline.faces.card_pdf import write_card
    from partline.faces.papers import ready_drawings, write_papers
    from partline.faces.stills_aside import stills_aside
    from partline.faces.words import first_lines
    from partline.plan import make_plan
    from partline.planfile import claim_folder, write_plan

    if folder.exists():
        claim_folder(folder)  # said before the long work, not after it
    trouble: list[str] = []
    made = make_plan(job, log=log, progress=span(progress, 0.0, PLANNED))
    with (
        stills_aside(made) if pictures else nullcontext() as answer,
        aside(
            lambda heard: write_plan(made, folder, progress=heard), "Writing the plan", usual_s=2.0
        ) as kept,
    ):
        ready_drawings(made, span(progress, PLANNED, 0.89))
        kept(span(progress, 0.89, 0.9))
        card = told(partial(write_card, made, folder, paper=sheet["paper"]),
                    "Writing the cutting card", span(progress, 0.9, 0.91), usual_s=1.0)  # fmt: skip
        written = write_papers(
            made, folder, pictures=partial(_stills, answer, folder, trouble), system=show,
            progress=span(progress, 0.91, 1.0), **sheet,
        )  # fmt: skip
    lines = first_lines(made, "inches" if show == "inches" else "mm")
    return Said((*lines, *made.stand.warnings, *written_lines((*written, card))), tuple(trouble))


def written_lines(written: Sequence[Path]) -> tuple[str, ...]:
    """Return where the papers are, a line each."""
    names = {"scene": "Scene to share", "card": "Cutting card"}
    return tuple(f"{names.get(path.stem, 'Bench sheet')}: {path}" for path in written)


def _stills(
    answer: Answer | None, folder: Path, trouble: list[str], progress: Progress
) -> dict[str, bytes]:
    """Keep the stills in the folder; note it where this computer cannot draw."""
    from partline.errors import MissingExtra
    from partline.planfile import write_whole

    if answer is None:
        return {}
    try:
        drawn = answer(progress)
    except MissingExtra as error:
        trouble.append(f"No pictures: {error}")
        return {}
    for name, data in drawn.items():
        write_whole(folder / f"{name}.png", data)
    return drawn
