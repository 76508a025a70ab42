"""Drawings in the PDF, and pages of them at true size with a 100 mm bar both ways."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph

from partline.faces.paper import Drawing, Row, bar_marks
from partline.faces.pdf_fonts import marked_up
from partline.faces.pdf_type import paragraph, style
from partline.faces.sheet_blocks import Bold
from partline.faces.svg_drawn import draw_drawing, draw_svg

_GAP = 4 * mm


class DrawnRow(Flowable):
    """Drawings side by side, each with its words over it."""

    def __init__(self, row: tuple[Drawing, ...]) -> None:
        super().__init__()
        self._row = row
        self._words = [paragraph((Bold(d.title), f" {d.notes}"), "caption") for d in row]

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        sizes = [(d.paper_size[0] * mm, d.paper_size[1] * mm) for d in self._row]
        self._over = max(
            words.wrap(max(w, 36 * mm), 1000)[1]
            for words, (w, _) in zip(self._words, sizes, strict=True)
        )
        wide = sum(w for w, _ in sizes) + _GAP * (len(sizes) - 1)
        return wide, max(h for _, h in sizes) + self._over + 3

    def draw(self) -> None:
        """Draw it with its foot at the origin."""
        _, high = self.wrap(0, 0)
        x = 0.0
        for d, words in zip(self._row, self._words, strict=True):
            words.drawOn(self.canv, x, high - words.height)
            draw_drawing(self.canv, d, x, high - self._over - 3)
            x += d.paper_size[0] * mm + _GAP


class TrueSizePage(Flowable):
    """Rows of drawings at true size that are never parted, bars below and on the right."""

    def __init__(self, rows: tuple[Row, ...], wide: float, title: str, words: str) -> None:
        super().__init__()
        self._wide = wide
        self._head = [Paragraph(marked_up(title, bold=True), style("h3"))] if title else []
        self._head += [paragraph((words,), "small")] if words else []
        self._rows = [DrawnRow(row) for row in rows]

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        self._tall = sum(p.wrap(self._wide, 1000)[1] + 4 for p in self._head)
        drawn = sum(row.wrap(self._wide, 0)[1] + 3 for row in self._rows)
        return self._wide, self._tall + max(drawn + 9 * mm, 103 * mm) + 4

    def draw(self) -> None:
        """Draw it with its foot at the origin."""
        _, y = self.wrap(self._wide, 0)
        for part in (*self._head, *self._rows):
            tall = part.wrap(self._wide, 1000)[1]
            part.drawOn(self.canv, 0, y - tall)
            y -= tall + (4 if part in self._head else 3)
        self._bar(0, y - 1, upright=False)
        self._bar(self._wide - 8 * mm, 102 * mm, upright=True)

    def _bar(self, left: float, top: float, *, upright: bool) -> None:
        self.canv.saveState()
        self.canv.translate(left, top)
        self.canv.scale(mm, -mm)
        draw_svg(self.canv, bar_marks(upright=upright))
        self.canv.restoreState()
