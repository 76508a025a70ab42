"""The elements of our drawings on a PDF canvas."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from partline.errors import InternalError
from partline.faces.svg_ink import ink


def drawn(body: str) -> str:
    made = io.BytesIO()
    canvas = Canvas(made, pageCompression=0)
    ink(canvas, body)
    canvas.showPage()
    canvas.save()
    return PdfReader(made).pages[0].get_contents().get_data().decode("latin-1")


def test_relative_and_absolute_steps_meet_at_the_same_points() -> None:
    whole = drawn('<path d="M10 20H30V40L10 40Z" fill="none" stroke="#000"/>')
    steps = drawn('<path d="M10 20h20v20l-20 0z" fill="none" stroke="#000"/>')
    assert whole == steps
    assert "28.34646 -56.69291 m" in whole  # 10 mm and -20 mm in points of 1/72 in


def test_an_element_that_cannot_be_drawn_is_an_error() -> None:
    with pytest.raises(InternalError, match="ellipse"):
        drawn('<ellipse cx="1" cy="1" rx="2" ry="3"/>')
