"""Drawings on paper at true size: SVG in millimetres, split and packed onto printed pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partline.faces.colours import INK

PaperName = Literal["A4", "Letter"]

# Width and height [mm]: A4 of ISO 216; Letter 8.5 x 11 in of ANSI/ASME Y14.1. From memory.
PAPERS: dict[PaperName, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM = 10.0
BAR_MM = 100.0
_BAR_ROOM = 11.0
_CAPTION = 7.0
_OVERLAP = 10.0


@dataclass(frozen=True)
class Drawing:
    """A drawing in millimetres, y down the paper.

    Attributes
    ----------
    title : str
        What it shows; plain text.
    left, top, width, height : float
        The part of the plane that it covers [mm].
    body : str
        SVG elements, already escaped.
    notes : str
        A second line under the title; plain text.
    scale : float
        Millimetres of paper for one of the block; 1 unless it is an overview [1].
    unbroken : tuple of (float, float)
        Left and right ends [mm] of what should rather not run from one page to the next.
    """

    title: str
    left: float
    top: float
    width: float
    height: float
    body: str
    notes: str = ""
    scale: float = 1.0
    unbroken: tuple[tuple[float, float], ...] = ()

    @property
    def paper_size(self) -> tuple[float, float]:
        """Width and height on paper [mm]."""
        return self.width * self.scale, self.height * self.scale

    def svg(self) -> str:
        """Return one SVG element of true size."""
        wide, high = self.paper_size
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
            f'viewBox="{self.left:.3f} {self.top:.3f} {self.width:.3f} {self.height:.3f}" '
            f'role="img" aria-label="{escape(self.title)}">{self.body}</svg>'
        )


def tiles(drawing: Drawing, wide: float, high: float) -> tuple[Drawing, ...]:
    """Split a drawing into parts that fit a page, with marks to join them by.

    Parameters
    ----------
    wide, high : float
        Room on the page [mm].

    Returns
    -------
    tuple of Drawing
        The drawing itself if it fits; else parts, rows first, that overlap by 10 mm.
    """
    if drawing.paper_size[0] <= wide and drawing.paper_size[1] <= high:
        return (drawing,)
    across = _starts(drawing.width, wide)
    down = _starts(drawing.height, high)
    parts = []
    matches = _match_marks(drawing, across, down, wide, high)
    for row, y in enumerate(down):
        for column, x in enumerate(across):
            left, top = drawing.left + x, drawing.top + y
            size = min(wide, drawing.width - x), min(high, drawing.height - y)
            marks = _join_marks(left, top, *size, column > 0, row > 0)
            name = f"{'ABCDEFGHIJKLMNOPQRSTUVWXYZ'[row % 26]}{column + 1}"
            parts.append(
                Drawing(
                    f"{drawing.title}: part {name} of {len(down)} × {len(across)}",
                    left,
                    top,
                    *size,
                    drawing.body + marks + matches,
                    "Print all parts, lay them over one another so that the crosses with the "
                    "same letters meet, tape them.",
                )
            )
    return tuple(parts)


def _starts(size: float, room: float) -> list[float]:
    step = room - _OVERLAP
    return [k * step for k in range(max(1, int(np.ceil((size - _OVERLAP) / step - 1e-9))))]


def _join_marks(left: float, top: float, w: float, h: float, across: bool, down: bool) -> str:
    dashed = f'stroke="{INK}" stroke-width="0.2" stroke-dasharray="4 2" fill="none"'
    out = f'<rect x="{left}" y="{top}" width="{w}" height="{h}" {dashed}/>'
    if across:
        out += f'<path d="M{left + _OVERLAP} {top}v{h}" {dashed}/>'
    if down:
        out += f'<path d="M{left} {top + _OVERLAP}h{w}" {dashed}/>'
    return out


def _match_marks(
    drawing: Drawing, across: list[float], down: list[float], wide: float, high: float
) -> str:
    """Return lettered crosses in the middle of every overlap: each is printed on both parts."""
    places = []
    for x in across[1:]:
        for y in down:
            tall = min(high, drawing.height - y)
            places += [(x + _OVERLAP / 2, y + share * tall) for share in (0.25, 0.75)]
    for y in down[1:]:
        for x in across:
            broad = min(wide, drawing.width - x)
            places += [(x + share * broad, y + _OVERLAP / 2) for share in (0.25, 0.75)]
    out = ""
    for k, (x, y) in enumerate(places):
        at_x, at_y = drawing.left + x, drawing.top + y
        name = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[k % 26] + (str(k // 26) if k >= 26 else "")
        out += (
            f'<path d="M{at_x - 3:.3f} {at_y:.3f}h6M{at_x:.3f} {at_y - 3:.3f}v6" '
            f'stroke="{INK}" stroke-width="0.25" fill="none"/>'
            + label(at_x + 0.8, at_y - 0.8, name, size=3, bold=True)
        )
    return out


def room(paper: PaperName, *, head_mm: float = 24.0) -> tuple[float, float]:
    """Return the width and height [mm] for 1:1 drawings beside the bars and below a heading."""
    wide, high = PAPERS[paper]
    return wide - 2 * MARGIN_MM - _BAR_ROOM, high - 2 * MARGIN_MM - _BAR_ROOM - head_mm - _CAPTION


Row = tuple[Drawing, ...]


def packed(drawings: Iterable[Drawing], wide: float, high: float) -> tuple[tuple[Row, ...], ...]:
    """Lay drawings onto pages in their order: side by side while they fit, then row under row.

    Parameters
    ----------
    wide, high : float
        Room on each page [mm]; larger drawings are split first.

    Returns
    -------
    tuple of pages, each a tuple of rows, each a tuple of Drawing
    """
    rows: list[list[Drawing]] = []
    for whole in drawings:
        for one in tiles(whole, wide, high):
            used = sum(d.paper_size[0] + 4.0 for d in rows[-1]) if rows else wide + 1
            if used + one.paper_size[0] <= wide:
                rows[-1].append(one)
            else:
                rows.append([one])
    pages: list[list[Row]] = []
    left = 0.0
    for row in rows:
        need = max(d.paper_size[1] for d in row) + _CAPTION
        if not pages or need > left:
            pages.append([])
            left = high + _CAPTION
        pages[-1].append(tuple(row))
        left -= need
    return tuple(tuple(page) for page in pages)


def bar(*, upright: bool) -> str:
    """Return an SVG bar of exactly 100 mm with a tick each 10 mm, to check a print by."""
    size = (8, 102) if upright else (102, 8)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bar {"upright" if upright else "flat"}" '
        f'width="{size[0]}mm" height="{size[1]}mm" viewBox="0 0 {size[0]} {size[1]}">'
        f"{bar_marks(upright=upright)}</svg>"
    )


def bar_marks(*, upright: bool) -> str:
    """Return the SVG elements of the bar, in a room of 102 x 8 mm, or 8 x 102."""
    # Long ticks at the ends only: the words stand between them, over the short ones.
    ticks = "".join(
        f"M{1 + 10 * k} {4.2 if k % 10 else 0.5}V6"
        if not upright
        else f"M6 {1 + 10 * k}H{4.2 if k % 10 else 0.5}"
        for k in range(11)
    )
    line = "M6 1V101" if upright else "M1 6H101"
    words = "100 mm: measure it"
    text = (
        f'<text transform="translate(3.4 64) rotate(-90)" font-size="3">{words}</text>'
        if upright
        else f'<text x="38" y="3.4" font-size="3">{words}</text>'
    )
    return (
        f'<path d="{line}{ticks}" stroke="{INK}" stroke-width="0.25" fill="none" '
        f'stroke-linecap="butt"/>{text}'
    )


def path(outlines: Sequence[ArrayLike], *, closed: bool = True) -> str:
    """Return the d of an SVG path through (k, 2) points, y already down."""
    parts = []
    for outline in outlines:
        points = np.asarray(outline, dtype=np.float64)
        if len(points):
            inner = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
            parts.append(f"M{inner}{'Z' if closed else ''}")
    return "".join(parts)


def hatched(name: str, outline: str, clip: str = "") -> str:
    """Return the path of an outline hatched: what the knife stays out of; the name is its own."""
    return (
        f'<defs><pattern id="{name}" width="3" height="3" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M0 0V3" stroke="{INK}" stroke-width="0.35"/>'
        f'</pattern></defs><path d="{outline}" fill="url(#{name})" opacity="0.45"{clip}/>'
    )


def label(x: float, y: float, words: str, *, size: float = 3.2, anchor: str = "start",
          bold: bool = False, colour: str = INK) -> str:  # fmt: skip
    """Return an SVG text of a cap height of about 0.7 x size [mm], with a white edge."""
    heavy = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size}" text-anchor="{anchor}"{heavy} '
        f'fill="{colour}" stroke="#fff" stroke-width="0.8" paint-order="stroke" '
        f'stroke-linejoin="round">{escape(words)}</text>'
    )
