"""Blocks' texts as paragraphs for the PDF: sizes, weights, and the small word behind a number."""

from __future__ import annotations

from functools import cache

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from partline.faces.colours import INK
from partline.faces.figures import parted
from partline.faces.pdf_fonts import BOLD, REGULAR, fonts, marked_up
from partline.faces.sheet_blocks import Big, Bold, Own, Text

GREY = "#6d737c"
# What is to be read standing: 25 pt is a cap height of 6.4 mm.
BIG_PT = 25.0


@cache
def style(name: str) -> ParagraphStyle:
    """Return the paragraph style of a name: body, act, small, h2, h3, and those of tables."""
    fonts()
    size, lead, before, after = _SIZES[name]
    return ParagraphStyle(
        name,
        fontName=BOLD if name in ("h1", "h2", "h3", "head") else REGULAR,
        fontSize=size,
        leading=size * lead,
        spaceBefore=before,
        spaceAfter=after,
        textColor=HexColor(INK),
        autoLeading="max",
        splitLongWords=True,
        keepWithNext=int(name in ("h3", "act")),
    )


# Size [pt], leading over it, space before and after [pt].
_SIZES = {
    "h1": (25.0, 1.15, 0.0, 0.0),
    "h2": (20.0, 1.15, 0.0, 0.0),
    "h3": (13.0, 1.25, 11.0, 4.0),
    "act": (20.0, 1.2, 5.0, 5.0),
    "body": (10.5, 1.32, 0.0, 5.0),
    "small": (8.5, 1.3, 0.0, 4.0),
    "caution": (9.0, 1.28, 0.0, 0.0),
    "caption": (7.6, 1.2, 0.0, 0.0),
    "head": (8.0, 1.15, 0.0, 0.0),
    "scale": (15.0, 1.15, 0.0, 0.0),
    "list": (9.4, 1.22, 0.0, 0.0),
    "card": (12.5, 1.22, 0.0, 0.0),
    "figures": (8.0, 1.18, 0.0, 0.0),
    "blank": (9.5, 1.2, 0.0, 0.0),
    "ask": (12.5, 1.3, 0.0, 4.0),
    "line": (20.0, 1.16, 0.0, 0.0),
    "legend": (7.6, 1.25, 0.0, 0.0),
}


def paragraph(text: Text, name: str, *, bullet: str | None = None) -> Paragraph:
    """Return a text as a paragraph."""
    shape = style(name)
    if shape.spaceAfter and any(isinstance(part, Big) for part in text):
        # The line below large type is set a little lower than the paragraph's height says.
        shape = shape.clone(f"{name}-big", spaceAfter=shape.spaceAfter + 7)
    if bullet is None:
        return Paragraph(markup(text), shape)
    shape = shape.clone(f"{name}-step", leftIndent=19, bulletIndent=2, bulletFontName=BOLD)
    return Paragraph(markup(text), shape, bulletText=bullet)


def markup(text: Text, *, bold_size: float | None = None) -> str:
    """Return a text in the mark-up of paragraphs.

    Parameters
    ----------
    bold_size : float, optional
        Type size of what stands out, if it is to be larger [pt].
    """
    out = []
    for part in text:
        if isinstance(part, str):
            out.append(marked_up(part))
        elif isinstance(part, Bold):
            words = marked_up(part.words, bold=True)
            out.append(f'<font size="{bold_size}">{words}</font>' if bold_size else words)
        elif isinstance(part, Own):
            out.append(marked_up(part.own, bold=part.bold))
        elif isinstance(part, Big):
            main, rest = parted(part.said.words)
            # A figure and its unit are never parted.
            words = marked_up(main.replace(" ", "\u00a0"), bold=True)
            out.append(f'<font size="{BIG_PT}">{words}</font>')
            # The small word may go to a line of its own, whole.
            out.append((" " + marked_up(rest, bold=True) if rest else "") + " ")
            out.append(tag(part.said.tag).replace("\u00a0", ""))
        else:
            out.append(marked_up(part.words, bold=True) + tag(part.tag))
    return "".join(out)


def tag(words: str) -> str:
    """Return the small word that says what kind of number stands before it."""
    return f'<font size="6.2" color="{GREY}">\u00a0{marked_up(words)}</font>'
