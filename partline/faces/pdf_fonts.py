"""Type for the PDF: embedded fonts, and what to do with a letter they lack."""

from __future__ import annotations

import unicodedata
from functools import cache
from itertools import groupby
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

REGULAR, BOLD = "Partline", "Partline-Bold"
_OTHER = "Partline-Other"
# Fonts with many scripts that a computer may have, for names in other alphabets.
_WIDE_FONTS = ("DejaVuSans.ttf", "NotoSans-Regular.ttf", "Arial Unicode.ttf", "arial.ttf",
               "LiberationSans-Regular.ttf", "FreeSans.ttf")  # fmt: skip
_STAND_INS = {"\u2192": ">", "\u2190": "<", "\u25cb": "o", "\u25cf": "\u2022", "\u2610": "[ ]",
              "\u00a0": "\u00a0", "\u2009": " ", "\u202f": " "}  # fmt: skip


@cache
def fonts() -> tuple[TTFont, TTFont | None]:
    """Register the fonts and return the text face, and a wider one where there is one."""
    regular = TTFont(REGULAR, "Vera.ttf")
    pdfmetrics.registerFont(regular)
    pdfmetrics.registerFont(TTFont(BOLD, "VeraBd.ttf"))
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)
    for name in _WIDE_FONTS:
        try:
            other = TTFont(_OTHER, name)
        except (TTFError, OSError):
            continue
        pdfmetrics.registerFont(other)
        return regular, other
    return regular, None


def runs(text: str, *, bold: bool = False) -> list[tuple[str, str]]:
    """Return a text as (font, part) pairs; a letter no font has becomes its base letter or "?"."""
    placed = [_placed(c, bold) for c in unicodedata.normalize("NFC", text)]
    return [
        (font, "".join(part for _, part in some)) for font, some in groupby(placed, lambda p: p[0])
    ]


def _placed(letter: str, bold: bool) -> tuple[str, str]:
    regular, other = fonts()
    usual = BOLD if bold else REGULAR
    if letter.isspace() and letter != "\u00a0":
        return usual, " "
    if ord(letter) in regular.face.charToGlyph:
        return usual, letter
    if letter in _STAND_INS:
        return usual, _STAND_INS[letter]
    if other is not None and ord(letter) in other.face.charToGlyph:
        return _OTHER, letter
    base = unicodedata.normalize("NFKD", letter)[0]
    return usual, base if ord(base) in regular.face.charToGlyph else "?"


def marked_up(text: str, *, bold: bool = False) -> str:
    """Return a text escaped for a paragraph, its fonts named where they change."""
    parts = [
        escape(part) if font == REGULAR else f'<font name="{font}">{escape(part)}</font>'
        for font, part in runs(text, bold=bold)
    ]
    return "".join(parts)


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width of a text at a type size, in the size's unit."""
    return float(
        sum(pdfmetrics.stringWidth(part, font, size) for font, part in runs(text, bold=bold))
    )
