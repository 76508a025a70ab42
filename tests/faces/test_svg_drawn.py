"""Drawings on a PDF: every element where SVG puts it, and nothing passed over in silence."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from reportlab.pdfgen.canvas import Canvas

from partline.faces.air_drawings import air_views
from partline.faces.air_rows import air_table
from partline.faces.cut_drawings import cut_views
from partline.faces.discs import mouth_disc, placing_disc
from partline.faces.drawings import ghosts, standing_view
from partline.faces.move_stills import move_stills
from partline.faces.moves_drawing import moves_strip
from partline.faces.paper import Drawing, label, tiles
from partline.faces.resin_moves import moves
from partline.faces.svg_drawn import draw_drawing, draw_svg, path_moves

pypdf = pytest.importorskip("pypdf")


def drawn(drawing: Drawing) -> str:
    """Return what a page with the drawing on it says."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pageCompression=0)
    draw_drawing(canvas, drawing, 50.0, 700.0)
    canvas.save()
    return str(pypdf.PdfReader(io.BytesIO(buffer.getvalue())).pages[0].extract_text())


def test_path_of_every_command() -> None:
    # SVG 1.1 (W3C 2011), 8.3: capitals are absolute, small letters relative to the last point
    d = "M1 2L3 4l1-1H10h-2V0v2zm5 5 1 1L0 0"
    assert list(path_moves(d)) == [
        ("M", 1, 2), ("L", 3, 4), ("L", 4, 3), ("L", 10, 3), ("L", 8, 3), ("L", 8, 0), ("L", 8, 2),
        ("Z", 1, 2), ("M", 6, 7), ("L", 7, 8), ("L", 0, 0),
    ]  # fmt: skip


@pytest.mark.parametrize("d", ["M0 0C1 1 2 2 3 3", "M0 0a1 1 0 0 0 1 1", "M0 0L1"])
def test_curves_and_broken_paths_are_refused(d: str) -> None:
    with pytest.raises(ValueError, match="path"):
        list(path_moves(d))


@pytest.mark.parametrize("body", ['<ellipse rx="1"/>', '<path d="M0 0L1 1" filter="x"/>',
                                  '<g transform="skewX(4)"/>', '<rect fill="red"/>'])  # fmt: skip
def test_what_is_not_drawn_is_an_error(body: str) -> None:
    with pytest.raises(ValueError, match="drawing"):
        draw_svg(Canvas(io.BytesIO()), body)


def test_all_our_drawings_can_be_drawn_with_their_words() -> None:
    plan = fake_plan()
    outlines = ghosts(plan)
    rows = air_table(plan.resin_pour).rows
    strip = moves_strip(moves(plan), move_stills(plan), 180.0)
    every = [placing_disc(plan), mouth_disc(plan), *cut_views(plan, outlines),
             *air_views(outlines, rows, mouth_up=True), *strip,
             standing_view(plan, outlines, high_mm=100, wide_mm=100)]  # fmt: skip
    for one in every:
        words = drawn(one)
        for said in _labels(one.body):
            assert said in words, one.title
    assert "never past" in drawn(every[2])
    assert "20°" in drawn(every[-2])
    for part in tiles(every[2], 60.0, 60.0):
        assert drawn(part)


def _labels(body: str) -> list[str]:
    import xml.etree.ElementTree as ET

    found = ET.fromstring(f"<g>{body}</g>").iter("text")
    return ["".join(e.itertext()).replace("\u2192", ">").replace("\u2190", "<") for e in found]


@pytest.mark.parametrize("shape", ['<path d="M10 10H40V30H10Z" {}/>',
                                   '<rect x="10" y="10" width="30" height="20" {}/>'])  # fmt: skip
def test_what_is_hatched_has_strokes_all_over_it(shape: str) -> None:
    """A path has no x and no width: its hatching, "do not cut", was once left out unseen."""
    fill = 'fill="url(#web)" opacity="0.45"'
    pattern = '<pattern id="web" width="3" height="3"><path d="M0 0V3" stroke="#222"/></pattern>'
    canvas = Canvas(io.BytesIO())
    lines: list[tuple[float, float, float, float]] = []
    canvas.line = lambda *ends: lines.append(ends)
    draw_svg(canvas, f"<defs>{pattern}</defs>{shape.format(fill)}")
    # At 45 degrees a stroke each 3 mm across: x + y grows by 3 sqrt(2) from one to the next.
    sums = np.array([x + y for x, y, *_ in lines])
    assert sums.min() < 20 + 4.3
    assert sums.max() > 70 - 4.3
    assert np.diff(sums) == pytest.approx(3 * 2**0.5)
    assert all({y1, y2} == {10.0, 30.0} for _, y1, _, y2 in lines)


def test_a_circle_cannot_be_hatched_unseen() -> None:
    body = '<defs><pattern id="w"><path d="M0 0V3"/></pattern></defs><circle r="2" fill="url(#w)"/>'
    with pytest.raises(ValueError, match="hatched"):
        draw_svg(Canvas(io.BytesIO()), body)


def test_text_is_turned_the_right_way_up_and_anchored() -> None:
    one = Drawing("t", 0, 0, 100, 50, label(50, 25, "abc", anchor="end"))
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pageCompression=0)
    draw_drawing(canvas, one, 0.0, 200.0)
    canvas.save()
    places = []
    page = pypdf.PdfReader(io.BytesIO(buffer.getvalue())).pages[0]

    def seen(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip():
            places.append((text.strip(), cm))

    page.extract_text(visitor_text=seen)
    ((words, cm),) = places
    assert words == "abc"
    assert cm[0] == pytest.approx(72 / 25.4)
    assert cm[3] == pytest.approx(72 / 25.4)  # two flips: upright again
    assert cm[5] == pytest.approx(200 - 25 * 72 / 25.4)
