"""Blocks on PDF pages: a long table begins under its heading, a short one stays whole with it."""

from __future__ import annotations

import io

import pytest
from reportlab.lib.pagesizes import A4
from reportlab.platypus import SimpleDocTemplate, Spacer

from partline.faces.pdf_blocks import flowables
from partline.faces.sheet_blocks import Heading, Table

pypdf = pytest.importorskip("pypdf")


def pages(rows: int, *, above_pt: float) -> list[str]:
    """Return what each page says with a heading and a table below so much empty space."""
    table = Table((("what",),), tuple(((f"row {k}.",),) for k in range(rows)), (1.0,), "figures")
    story = [Spacer(1, above_pt), *flowables((Heading("Usual figures"), table), 400.0, {})]
    made = io.BytesIO()
    SimpleDocTemplate(made, pagesize=A4).build(story)
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.getvalue())).pages]


def test_a_table_as_long_as_a_page_does_not_leave_the_one_before_it_empty() -> None:
    found = pages(45, above_pt=60.0)
    assert "Usual figures" in found[0]
    assert "row 0." in found[0]
    assert "row 44." in found[1]


def test_at_the_foot_of_a_page_heading_and_table_go_on_together() -> None:
    for rows in (4, 45):
        found = pages(rows, above_pt=620.0)
        assert "Usual figures" not in found[0]
        assert "Usual figures" in found[1]
        assert "row 0." in found[1]
