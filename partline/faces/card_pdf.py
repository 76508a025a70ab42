"""The cutting card as a PDF at true size: vector, tiled, a 100 mm bar both ways on every page."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from partline.card.cutting_card import CuttingCard
from partline.faces.card_parts import OVERLAP_MM, Part, parted
from partline.faces.card_words import Paragraph, first_page
from partline.faces.colours import INK
from partline.faces.cut_drawings import cut_views
from partline.faces.discs import mouth_disc, placing_disc
from partline.faces.drawings import ghosts
from partline.faces.far_disc import far_disc
from partline.faces.paper import BAR_MM, MARGIN_MM, PAPERS, Drawing, PaperName
from partline.faces.svg_ink import fonts, ink
from partline.faces.words import notch_side
from partline.faces.wrap_drawing import wrap_drawing, zigzag_drawing
from partline.plan import Plan
from partline.planfile import write_whole

_BAR_ROOM = 9.0
_HEAD = 15.0
_CAPTION = 13.0
# Where the columns of a table of marks start, and of another beside it [mm].
_COLUMNS = tuple(table + at for table in (0, 94) for at in (0, 11, 26, 43, 57, 71))
_NARROW = 80.0  # room for the words over a drawing [mm]


def write_card(plan: Plan, folder: str | Path, *, paper: PaperName = "A4") -> Path:
    """Write card.pdf into a plan's folder and return its path."""
    return write_whole(Path(folder) / "card.pdf", card_pdf(plan, paper=paper))


def card_pdf(plan: Plan, *, paper: PaperName = "A4", today: date | None = None) -> bytes:
    """Return the pages of the cutting card.

    Parameters
    ----------
    plan : Plan
    paper : "A4" or "Letter"
    today : date, optional
        Printed on every page.
    """
    card = plan.card
    made = io.BytesIO()
    canvas = Canvas(
        made, pagesize=tuple(v * mm for v in PAPERS[paper]), pageCompression=1, invariant=1
    )
    canvas.setTitle(f"Cutting card: {plan.job.name}")
    canvas.setCreator("partline")
    # Printers must not shrink the page to fit: then nothing on it is true.
    canvas.setViewerPreference("PrintScaling", "None")
    day = (today or date.today()).isoformat()
    pages: list[Callable[[], None]] = []
    if card is not None:
        for some in _pages_of_words(canvas, paper, first_page(plan, card)):
            pages.append(lambda some=some: _words(canvas, paper, some))  # type: ignore[misc]
    for row in _packed(_drawings(plan, card), paper):
        pages.append(lambda row=row: _parts(canvas, paper, row))  # type: ignore[misc]
    for number, page in enumerate(pages, 1):
        _furniture(canvas, paper, f"{plan.job.name} · cutting card · {day}",
                   f"{number} of {len(pages)}")  # fmt: skip
        page()
        canvas.showPage()
    canvas.save()
    return made.getvalue()


def _drawings(plan: Plan, card: CuttingCard | None) -> list[Drawing]:
    found: list[Drawing] = []
    if card is not None and card.cuts:
        found.append(wrap_drawing(card, notch_deg=notch_side(plan)))
        disc = far_disc(card)
        found += [disc] if disc else []
        sample = zigzag_drawing(card)
        found += [sample] if sample else []
    found += [placing_disc(plan, "both"), mouth_disc(plan)]
    if plan.cut.lines:
        found += cut_views(plan, ghosts(plan), "both")
    return found


def room(paper: PaperName) -> tuple[float, float]:
    """Return the width and height [mm] for drawings on a page."""
    wide, high = PAPERS[paper]
    return wide - 2 * MARGIN_MM - _BAR_ROOM, high - 2 * MARGIN_MM - _BAR_ROOM - _HEAD - _CAPTION


def _packed(drawings: list[Drawing], paper: PaperName) -> list[list[list[Part]]]:
    """Return pages of rows of parts, in order."""
    wide, high = room(paper)
    pages: list[list[list[Part]]] = []
    left_over = used = 0.0
    for drawing in drawings:
        for part in parted(drawing, wide, high):
            w, h = part.width, part.height + _CAPTION
            fits = (
                pages and used + w <= wide and h <= max(p.height + _CAPTION for p in pages[-1][-1])
            )
            if fits and not part.name:
                pages[-1][-1].append(part)
                used += max(w, _NARROW) + 4.0
                continue
            if not pages or h > left_over or part.name:
                pages.append([])
                left_over = high + _CAPTION
            pages[-1].append([part])
            left_over -= h
            used = max(w, _NARROW) + 4.0
    return pages


def _furniture(canvas: Canvas, paper: PaperName, head: str, number: str) -> None:
    """Draw the head and the two bars."""
    plain, bold = fonts()
    wide, high = PAPERS[paper]
    canvas.setFillColor(HexColor(INK))
    canvas.setFont(bold, 9)
    canvas.drawString(MARGIN_MM * mm, (high - MARGIN_MM - 4) * mm, head)
    canvas.setFont(plain, 8)
    canvas.drawRightString((wide - MARGIN_MM) * mm, (high - MARGIN_MM - 4) * mm, number)
    canvas.setFont(plain, 7.5)
    canvas.drawString(
        MARGIN_MM * mm, (high - MARGIN_MM - 8) * mm,
        "Print at 100 %, not fitted to the page. Both bars must measure 100 mm; if not, do not "
        "use the page.",
    )  # fmt: skip
    x, y = (MARGIN_MM + _BAR_ROOM) * mm, (MARGIN_MM + 3.0) * mm
    _bar(canvas, x, y, upright=False)
    _bar(canvas, (MARGIN_MM + 3.0) * mm, (MARGIN_MM + _BAR_ROOM) * mm, upright=True)


def _bar(canvas: Canvas, x: float, y: float, *, upright: bool) -> None:
    canvas.saveState()
    canvas.translate(x, y)
    if upright:
        canvas.rotate(90)
        canvas.scale(1, -1)
    canvas.setFillColor(HexColor(INK))
    canvas.setStrokeColor(HexColor(INK))
    # A filled rectangle is exactly as long as it says, whatever the caps of lines.
    canvas.rect(0, 0, BAR_MM * mm, 0.5 * mm, stroke=0, fill=1)
    canvas.setLineWidth(0.2 * mm)
    for k in range(1, 10):
        canvas.line(10 * k * mm, 0.5 * mm, 10 * k * mm, 1.8 * mm)
    if upright:
        canvas.scale(1, -1)
        canvas.translate(0, -5.0 * mm)
    canvas.setFont(fonts()[0], 6.5)
    canvas.drawString(12 * mm, 2.2 * mm, "100 mm: measure it")
    canvas.restoreState()


def _parts(canvas: Canvas, paper: PaperName, rows: list[list[Part]]) -> None:
    _, high = PAPERS[paper]
    y = high - MARGIN_MM - _HEAD
    for row in rows:
        x = MARGIN_MM + _BAR_ROOM
        for part in row:
            _part(canvas, part, x, y - _CAPTION)
            x += max(part.width, _NARROW) + 4.0
        y -= max(p.height for p in row) + _CAPTION


def _part(canvas: Canvas, part: Part, x: float, y: float) -> None:
    """Draw a part with its upper left corner at (x, y) of the page, y up [mm]."""
    plain, bold = fonts()
    canvas.setFillColor(HexColor(INK))
    canvas.setFont(bold, 9.5)
    name = f"{part.drawing.title}, part {part.name}" if part.name else part.drawing.title
    canvas.drawString(x * mm, (y + 9.2) * mm, name)
    canvas.setFont(plain, 7.0)
    wide = max(part.width, _NARROW)
    for k, line in enumerate(_folded(canvas, part.drawing.notes, plain, 7.0, wide * mm)[:3]):
        canvas.drawString(x * mm, (y + 6.2 - 2.7 * k) * mm, line)
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(x * mm, (y - part.height) * mm, part.width * mm, part.height * mm)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.translate((x - part.left) * mm, (y + part.top) * mm)
    ink(canvas, part.drawing.body)
    canvas.restoreState()
    if part.name:
        _match_marks(canvas, part, x, y)


def _match_marks(canvas: Any, part: Part, x: float, y: float) -> None:
    """Draw the edge to cut at and crosses in the overlaps, which come to lie on one another."""
    canvas.saveState()
    canvas.setStrokeColor(HexColor(INK))
    canvas.setLineWidth(0.15 * mm)
    canvas.rect(x * mm, (y - part.height) * mm, part.width * mm, part.height * mm)
    half = OVERLAP_MM / 2
    right, bottom = part.drawing.left + part.drawing.width, part.drawing.top + part.drawing.height
    places = []
    for share in (0.1, 0.5, 0.9):
        u, v = x + share * part.width, y - share * part.height
        if part.across:
            places.append((x + half, v))
        if part.left + part.width < right - 1e-6:
            places.append((x + part.width - half, v))
        if part.down:
            places.append((u, y - half))
        if part.top + part.height < bottom - 1e-6:
            places.append((u, y - part.height + half))
    for u, v in places:
        canvas.line((u - 3) * mm, v * mm, (u + 3) * mm, v * mm)
        canvas.line(u * mm, (v - 3) * mm, u * mm, (v + 3) * mm)
        canvas.circle(u * mm, v * mm, 1.5 * mm)
    canvas.restoreState()


def _folded(canvas: Any, words: str, font: str, size: float, wide: float) -> list[str]:
    lines, line = [], ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and canvas.stringWidth(longer, font, size) > wide:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def _pages_of_words(
    canvas: Any, paper: PaperName, paragraphs: tuple[Paragraph, ...]
) -> list[tuple[Paragraph, ...]]:
    """Share paragraphs out over pages."""
    pages: list[list[Paragraph]] = [[]]
    left = whole = room(paper)[1]
    for paragraph in paragraphs:
        need = sum(height for _, height in _lines(canvas, paper, paragraph))
        if need > left:
            pages.append([])
            left = whole
        pages[-1].append(paragraph)
        left -= need
    return [tuple(page) for page in pages]


def _lines(
    canvas: Any, paper: PaperName, paragraph: Paragraph
) -> list[tuple[tuple[str, ...], float]]:
    """Return the lines of a paragraph, each as its columns and the height it takes [mm]."""
    if paragraph.columns:
        return [(paragraph.columns, 4.6)]
    font, size = _letters(paragraph)
    wide = PAPERS[paper][0] - 2 * MARGIN_MM - _BAR_ROOM
    step = 5.2 if paragraph.kind == "head" else 4.1
    lines = [((line,), step) for line in _folded(canvas, paragraph.words, font, size, wide * mm)]
    before = [((), 2.5)] if paragraph.kind == "head" else []
    return [*before, *lines, ((), 0.8)]


def _letters(paragraph: Paragraph) -> tuple[str, float]:
    plain, bold = fonts()
    font = bold if paragraph.kind in ("head", "row head") else plain
    return font, 10.5 if paragraph.kind == "head" else 8.0


def _words(canvas: Any, paper: PaperName, paragraphs: tuple[Paragraph, ...]) -> None:
    x, y = MARGIN_MM + _BAR_ROOM, PAPERS[paper][1] - MARGIN_MM - _HEAD - 3
    canvas.setFillColor(HexColor(INK))
    for paragraph in paragraphs:
        canvas.setFont(*_letters(paragraph))
        for columns, height in _lines(canvas, paper, paragraph):
            for at, text in zip(_COLUMNS, columns, strict=False):
                canvas.drawString((x + at) * mm, y * mm, text)
            y -= height
