"""The bench sheet: one self-contained HTML file that prints, in the order of the work."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

import partline
from partline.errors import PlanFileError
from partline.faces.figures import System, parted
from partline.faces.paper import MARGIN_MM, PAPERS, PaperName, bar
from partline.faces.sheet_blocks import Sheet
from partline.faces.sheet_pages import Spelling, bench_sheet
from partline.plan import Plan
from partline.planfile import write_whole

NAME = "sheet.html"
_MARK = '<meta name="generator" content="partline'


def write_sheet(
    plan: Plan,
    folder: str | Path,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
) -> Path:
    """Write the bench sheet of a plan as `sheet.html` in a folder and return its path.

    Parameters
    ----------
    plan : Plan
    folder : str or Path
        Made if it is not there. A sheet of partline's in it is replaced, any other file is not.
    pictures : dict of str to bytes, optional
        PNG stills by name: "first", "cut", "rubber_air", "resin_air", "detail"; any may be
        missing.
    paper : {"A4", "Letter"}
    system : {"mm", "inches", "both"}
    spelling : {"British", "US"}

    Raises
    ------
    PlanFileError
        If a file of that name is not a sheet of partline's, or it cannot be written.
    """
    path = ours(Path(folder) / NAME, _MARK)
    text = sheet_html(plan, pictures=pictures, paper=paper, system=system, spelling=spelling)
    return write_whole(path, text.encode("utf-8"))


def ours(path: Path, mark: str) -> Path:
    """Return a path that is free or holds what partline wrote, its folder made.

    Raises
    ------
    PlanFileError
        If it holds another file, or its folder cannot be made.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        old = path.read_bytes() if path.exists() else mark.encode()
    except OSError as error:
        raise PlanFileError(f"{path} cannot be written: {error.strerror}.") from error
    if mark.encode() not in old:
        raise PlanFileError(
            f"{path} was not written by partline: nothing was written. Name another folder."
        )
    return path


def sheet_html(
    plan: Plan,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
) -> str:
    """Return the bench sheet as the text of one HTML file; arguments as `write_sheet`."""
    sheet = bench_sheet(plan, paper=paper, system=system, spelling=spelling)
    # Pictures go in last: they are long, and no text.
    held = {f"still:{k}": v for k, v in (pictures or {}).items()}
    page = rendered(sheet, paper, system, spelling, tuple(pictures or {}))
    for key, data in held.items():
        image = f"data:image/png;base64,{base64.b64encode(data).decode('ascii')}"
        page = page.replace(f'src="{key}"', f'src="{image}"')
    return page


def rendered(
    sheet: Sheet, paper: PaperName, system: System, spelling: Spelling, stills: tuple[str, ...]
) -> str:
    """Return a sheet's blocks as HTML, the stills named but not yet in it."""
    environment = Environment(
        loader=PackageLoader("partline.faces", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"kind": _kind, "parted": parted, "unknown": _unknown}
    return environment.get_template("sheet.html").render(
        sheet=sheet,
        lang="en-US" if spelling == "US" else "en-GB",
        version=partline.__version__,
        paper=paper,
        system=system,
        width=PAPERS[paper][0] - 2 * MARGIN_MM,
        # A little less than the page, or rounding makes a second one.
        height=PAPERS[paper][1] - 2 * MARGIN_MM - 1.0,
        bars={"flat": bar(upright=False), "upright": bar(upright=True)},
        stills={name: f"still:{name}" for name in stills},
    )


def _kind(value: object) -> str:
    return type(value).__name__


def _unknown(value: Any) -> str:
    raise TypeError(f"A bench sheet has no block {type(value).__name__}.")
