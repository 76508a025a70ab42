"""The sheet's blocks as pieces that flow down PDF pages."""

from __future__ import annotations

import io
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Paragraph, Spacer
from reportlab.platypus import Table as Grid

from partline.faces.colours import INK
from partline.faces.paper import Drawing
from partline.faces.pdf_fonts import marked_up
from partline.faces.pdf_true_size import DrawnRow, TrueSizePage
from partline.faces.pdf_type import markup as marked
from partline.faces.pdf_type import paragraph, style, tag
from partline.faces.sheet_blocks import (
    Block,
    Bold,
    Box,
    Caution,
    Drawings,
    Front,
    Heading,
    Line,
    Picture,
    Steps,
    Table,
    Together,
    TrueSize,
)

# A table of more rows may go on over the page, if so much of it fits under its heading.
_LONG, _BEGUN_MM = 12, 40.0
_RULE, _HAIR = HexColor(INK), HexColor("#c4c6c9")


def flowables(
    blocks: tuple[Block, ...], wide: float, stills: dict[str, bytes], *, within: str = ""
) -> list[Flowable]:
    """Return blocks as flowables.

    Parameters
    ----------
    wide : float
        Width of the page within its margins [pt].
    stills : dict of str to bytes
        PNG pictures by name.
    within : str
        The kind of box they stand in, if any.

    Raises
    ------
    TypeError
        If there is a kind of block that is not drawn here.
    """
    out: list[Flowable] = []
    for block, after in zip(blocks, [*blocks[1:], None], strict=True):
        made = _flowables(block, wide, stills, within)
        if isinstance(block, Heading) and isinstance(after, Table) and len(after.rows) > _LONG:
            # Kept whole with its heading a long table would leave the page before it empty.
            made[0].keepWithNext = False
            made.insert(0, CondPageBreak(_BEGUN_MM * mm))
        out += made
    return out


def _flowables(block: Block, wide: float, stills: dict[str, bytes], within: str) -> list[Any]:
    if isinstance(block, Heading):
        return [Paragraph(marked_up(block.words, bold=True), style("h3"))]
    if isinstance(block, Line):
        body = "ask" if within else "body"
        return [paragraph(block.text, body if block.size == "body" else block.size)]
    if isinstance(block, Steps):
        return [paragraph(t, "body", bullet=f"{k}.") for k, t in enumerate(block.items, 1)]
    if isinstance(block, Caution):
        return [_caution(block, wide)]
    if isinstance(block, Table):
        return [_table(block, wide, within), Spacer(1, 2 * mm)]
    if isinstance(block, Drawings):
        return [DrawnRow(block.row), Spacer(1, 2 * mm)]
    if isinstance(block, TrueSize):
        return [
            TrueSizePage(rows, wide, block.title if k == 0 else "", block.words if k == 0 else "")
            for k, rows in enumerate(block.pages)
        ]
    if isinstance(block, Picture):
        data = stills.get(block.name)
        return [] if data is None else [Still(data, block.words, wide, block.high_mm * mm)]
    if isinstance(block, Box):
        return [_box(block, wide, stills)]
    if isinstance(block, Together):
        return [KeepTogether(flowables(block.blocks, wide, stills, within=within))]
    if isinstance(block, Front):
        raise TypeError("The first page is drawn by itself.")
    raise TypeError(f"A bench sheet has no block {type(block).__name__}.")


def _caution(block: Caution, wide: float) -> Grid:
    words = (Bold("Take care."), " " + " ".join(block.lines))
    grid = Grid([[paragraph(words, "caution")]], colWidths=[wide], spaceBefore=2 * mm,
                spaceAfter=3 * mm)  # fmt: skip
    grid.setStyle([
        ("BACKGROUND", (0, 0), (-1, -1), HexColor("#f1f1ef")),
        ("LINEBEFORE", (0, 0), (0, -1), 4.5, _RULE),
        ("LEFTPADDING", (0, 0), (-1, -1), 9), ("RIGHTPADDING", (0, 0), (-1, -1), 8),
        ("TOPPADDING", (0, 0), (-1, -1), 4), ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
    ])  # fmt: skip
    return grid


def _table(block: Table, wide: float, within: str) -> Grid:
    kind = "card" if within == "card" and block.kind == "list" else block.kind
    rows = [[paragraph(cell, kind) for cell in row] for row in block.rows]
    # A head whose cells are all empty is no head.
    head = bool(block.head) and any(block.head)
    if head:
        rows.insert(0, [paragraph((Bold(_plain(cell)),), "head") for cell in block.head])
    high = 11 * mm if block.kind == "blank" else None
    heights = [None if head and k == 0 else high for k in range(len(rows))]
    grid = Grid(rows, colWidths=[s * wide for s in block.shares], rowHeights=heights,
                repeatRows=int(head))  # fmt: skip
    pad = {"scale": 3.0, "list": 2.4, "card": 5.0, "figures": 1.3, "blank": 4.0}[kind]
    look: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE" if kind in ("scale", "blank") else "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 4 if kind == "blank" else 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 7),
        ("TOPPADDING", (0, 0), (-1, -1), pad), ("BOTTOMPADDING", (0, 0), (-1, -1), pad + 1),
    ]  # fmt: skip
    if block.kind == "blank":
        look.append(("GRID", (0, 0), (-1, -1), 0.6, _RULE))
    else:
        look.append(("LINEBELOW", (0, int(head)), (-1, -1), 0.5, _HAIR))
    if head:
        look += [("LINEBELOW", (0, 0), (-1, 0), 0.8, _RULE), ("VALIGN", (0, 0), (-1, 0), "BOTTOM")]
    grid.setStyle(look)
    return grid


def _plain(text: tuple[Any, ...]) -> str:
    return "".join(part for part in text if isinstance(part, str))


def _box(block: Box, wide: float, stills: dict[str, bytes]) -> Grid:
    pad = 4 * mm
    inner = flowables(block.blocks, wide - 2 * pad, stills, within=block.kind)
    grid = Grid([[inner]], colWidths=[wide], spaceBefore=2 * mm, spaceAfter=3 * mm)
    grid.setStyle([
        ("BOX", (0, 0), (-1, -1), 1.4, _RULE, 0, (5, 3)),
        *((f"{side}PADDING", (0, 0), (-1, -1), pad) for side in ("LEFT", "RIGHT")),
        *((f"{side}PADDING", (0, 0), (-1, -1), 3 * mm) for side in ("TOP", "BOTTOM")),
    ])  # fmt: skip
    return grid


class Still(Flowable):
    """A picture in the middle of the page, its words under it."""

    def __init__(self, data: bytes, words: str, wide: float, high: float) -> None:
        super().__init__()
        self._image = ImageReader(io.BytesIO(data))
        w, h = self._image.getSize()
        scale = min(wide / w, high / h)
        self._size = w * scale, h * scale
        self._words = paragraph((words,), "caption")
        self._wide = wide

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        _, self._below = self._words.wrap(self._wide, 1000)
        return self._wide, self._size[1] + self._below + 4

    def draw(self) -> None:
        """Draw it with its foot at the origin."""
        w, h = self._size
        self.canv.drawImage(self._image, (self._wide - w) / 2, self._below + 4, w, h, mask="auto")
        self._words.drawOn(self.canv, (self._wide - w) / 2, 0)


class FrontPage(Flowable):
    """The first page: name, the piece in its cup as large as there is room, the lines."""

    def __init__(
        self, job: str, front: Front, still: bytes | None, wide: float, high: float
    ) -> None:
        super().__init__()
        self._room = wide, high
        self._head = Paragraph(marked_up(job, bold=True), style("h1"))
        self._lines = [
            Paragraph(marked(line, bold_size=27) + tag(kind), style("line"))
            for line, kind in front.lines
        ]
        self._legend = paragraph(front.legend, "legend")
        self._still = None if still is None else ImageReader(io.BytesIO(still))
        self._standing: Drawing = front.standing

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """Return the whole page [pt]."""
        return self._room

    def draw(self) -> None:
        """Draw it from the foot up."""
        wide, high = self._room
        _, y = self._legend.wrap(wide, high)
        self._legend.drawOn(self.canv, 0, 0)
        y += 5
        self.canv.setStrokeColor(_RULE)
        self.canv.line(0, y, wide, y)
        for line in self._lines[::-1]:
            _, tall = line.wrap(wide, high)
            line.drawOn(self.canv, 0, y + 8)
            y += tall + 13
            self.canv.setStrokeColor(_HAIR)
            self.canv.line(0, y, wide, y)
        _, top = self._head.wrap(wide, high)
        self._head.drawOn(self.canv, 0, high - top)
        self._show(y + 6, high - top - 6)

    def _show(self, low: float, high: float) -> None:
        from partline.faces.svg_drawn import draw_drawing

        wide, room = self._room[0], high - low
        if self._still is None:
            w, h = (v * mm for v in self._standing.paper_size)
            draw_drawing(self.canv, self._standing, (wide - w) / 2, low + (room + h) / 2)
            return
        w, h = self._still.getSize()
        scale = min(wide / w, room / h)
        self.canv.drawImage(self._still, (wide - w * scale) / 2, low, w * scale, h * scale,
                            mask="auto")  # fmt: skip
