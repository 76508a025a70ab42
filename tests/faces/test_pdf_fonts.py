"""Letters on the PDF: kept where a font has them, never dropped."""

from __future__ import annotations

import pytest

from partline.faces.pdf_fonts import BOLD, REGULAR, fonts, marked_up, runs, width


def test_what_the_text_face_has_is_one_run() -> None:
    assert runs("62 mm · 2\u00a07/16 in − 40 %") == [(REGULAR, "62 mm · 2\u00a07/16 in − 40 %")]
    assert runs("x", bold=True) == [(BOLD, "x")]


@pytest.mark.parametrize("text", ["Ångström", "č", "Ω", "日", "→", "\u0301e", "\ttab"])
def test_no_letter_vanishes(text: str) -> None:
    assert sum(len(part) for _, part in runs(text)) >= 1
    regular, other = fonts()
    for font, part in runs(text):
        face = regular.face if font == REGULAR else other.face if other else regular.face
        assert all(ord(c) in face.charToGlyph for c in part)


def test_mark_up_is_escaped() -> None:
    assert marked_up("<b>&") == "&lt;b&gt;&amp;"


def test_width_grows_with_size_and_weight() -> None:
    assert width("never past", 6.0) == pytest.approx(2 * width("never past", 3.0))
    assert width("never past", 3.0, bold=True) > width("never past", 3.0)
