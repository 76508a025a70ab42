"""The bench sheet as a PDF of vectors, at true size when it is printed unscaled."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageBreak, PageTemplate, Paragraph

import partline
from partline.faces.colours import INK
from partline.faces.figures import System
from partline.faces.paper import MARGIN_MM, PAPERS, PaperName
from partline.faces.pdf_blocks import FrontPage, flowables
from partline.faces.pdf_fonts import REGULAR, marked_up, runs
from partline.faces.pdf_type import GREY, style
from partline.faces.sheet import ours
from partline.faces.sheet_blocks import Front, Sheet
from partline.faces.sheet_pages import Spelling, bench_sheet
from partline.plan import Plan
from partline.planfile import write_whole

NAME = "sheet.pdf"
_MARK = "/Creator (partline"


def write_sheet_pdf(
    plan: Plan,
    folder: str | Path,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
) -> Path:
    """Write the bench sheet of a plan as `sheet.pdf` in a folder and return its path.

    Parameters and errors as `write_sheet`: both say the same in the same order.
    """
    path = ours(Path(folder) / NAME, _MARK)
    data = sheet_pdf(plan, pictures=pictures, paper=paper, system=system, spelling=spelling)
    return write_whole(path, data)


def sheet_pdf(
    plan: Plan,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
) -> bytes:
    """Return the bench sheet as the bytes of a PDF; arguments as `write_sheet_pdf`."""
    sheet = bench_sheet(plan, paper=paper, system=system, spelling=spelling)
    wide, high = (v * mm for v in PAPERS[paper])
    margin = MARGIN_MM * mm
    buffer = io.BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=(wide, high),
        title=sheet.job,
        creator=f"partline {partline.__version__}",
        lang="en-US" if spelling == "US" else "en-GB",
        invariant=1,
        allowSplitting=1,
    )
    frame = Frame(margin, margin, wide - 2 * margin, high - 2 * margin, 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate(frames=[frame])])
    story = _story(sheet, frame.width, frame.height, pictures or {})

    class Numbered(_Numbered):
        origin = sheet.origin

    document.build(story, canvasmaker=Numbered)
    return buffer.getvalue()


def _story(sheet: Sheet, wide: float, high: float, stills: dict[str, bytes]) -> list[Flowable]:
    story: list[Flowable] = []
    for page in sheet.pages:
        if story:
            story.append(PageBreak())
        first = page.blocks[0]
        if isinstance(first, Front):
            # A point less than the frame, or rounding makes a second page.
            story.append(FrontPage(sheet.job, first, stills.get("first"), wide, high - 1))
            continue
        story.append(PageHead(f"{page.step}  {page.title}".strip(), sheet.job, wide))
        story += flowables(page.blocks, wide, stills)
    return story


class PageHead(Flowable):
    """The head of a step: number and title, the job's name on the right, a rule below."""

    def __init__(self, title: str, job: str, wide: float) -> None:
        super().__init__()
        self._title, self._wide = title, wide
        self._words = Paragraph(marked_up(title, bold=True), style("h2"))
        short = job if len(job) <= 34 else job[:33] + "…"
        right = style("small").clone("job", alignment=2, textColor=HexColor(GREY))
        self._job = Paragraph(marked_up(short), right)

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        _, self._tall = self._words.wrap(self._wide - 58 * mm, 1000)
        self._job.wrap(55 * mm, 1000)
        return self._wide, max(self._tall, self._job.height) + 6 + 4 * mm

    def draw(self) -> None:
        """Draw it, and make the title an entry of the table of contents."""
        canvas = self.canv
        canvas.bookmarkPage(self._title)
        canvas.addOutlineEntry(self._title, self._title, 0)
        base = 4 * mm
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(1.7)
        canvas.line(0, base, self._wide, base)
        self._words.drawOn(canvas, 0, base + 6)
        self._job.drawOn(canvas, self._wide - 55 * mm, base + 6)


class _Numbered(Canvas):
    """A canvas that knows how many pages there are before it writes "3 / 17" on the third."""

    origin = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Printed at its own size, or nothing at 1:1 is.
        self.setViewerPreference("PrintScaling", "None")
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 (the name is the library's)
        """Keep the page until all are known."""
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its number."""
        for page in self._pages:
            self.__dict__.update(page)
            self._foot(len(self._pages))
            Canvas.showPage(self)
        Canvas.save(self)

    def _foot(self, total: int) -> None:
        wide = self._pagesize[0]
        self.setFillColor(HexColor(GREY))
        self.setFont(REGULAR, 7)
        self.drawRightString(wide - MARGIN_MM * mm, 5 * mm, f"{self._pageNumber} / {total}")
        x = MARGIN_MM * mm
        for font, part in runs(self.origin if len(self.origin) < 130 else self.origin[:129] + "…"):
            self.setFont(font, 5.5)
            self.drawString(x, 5 * mm, part)
            x += self.stringWidth(part, font, 5.5)
