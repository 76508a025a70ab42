"""True size on paper: widths in mm, tiles that cover everything, pages that are not overfull."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from partline.faces.paper import BAR_MM, PAPERS, Drawing, bar, label, packed, path, room, tiles


def sheet(wide: float, high: float, scale: float = 1.0) -> Drawing:
    return Drawing("a <b> & c", -5.0, -7.0, wide, high, '<path d="M0 0H10"/>', scale=scale)


def test_a_millimetre_is_a_millimetre() -> None:
    top = ET.fromstring(sheet(80.0, 60.0).svg())
    assert (top.get("width"), top.get("height")) == ("80.000mm", "60.000mm")
    assert top.get("viewBox") == "-5.000 -7.000 80.000 60.000"
    assert top.get("aria-label") == "a <b> & c"
    half = ET.fromstring(sheet(80.0, 60.0, 0.5).svg())
    assert half.get("width") == "40.000mm"
    assert half.get("viewBox") == "-5.000 -7.000 80.000 60.000"


@pytest.mark.parametrize("upright", [False, True])
def test_the_bar_is_100_mm_in_a_drawing_of_true_size(upright: bool) -> None:
    top = ET.fromstring(bar(upright=upright))
    box = [float(v) for v in str(top.get("viewBox")).split()]
    assert top.get("width") == f"{box[2]:g}mm"
    assert top.get("height") == f"{box[3]:g}mm"
    line = str(top[0].get("d"))
    assert line.startswith("M6 1V101M" if upright else "M1 6H101M")
    assert BAR_MM == 101 - 1
    assert line.count("M") == 1 + 11


def test_papers_and_room() -> None:
    # ISO 216 A4; 8.5 x 11 in, with 25.4 mm to the inch
    assert PAPERS["A4"] == (210.0, 297.0)
    assert PAPERS["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    for name in PAPERS:
        wide, high = room(name)
        assert wide < PAPERS[name][0] - 20
        assert high < PAPERS[name][1] - 20


def test_tiles_cover_the_drawing_and_overlap() -> None:
    big = sheet(400.0, 300.0)
    assert tiles(sheet(170.0, 200.0), 179.0, 235.0) == (sheet(170.0, 200.0),)
    parts = tiles(big, 179.0, 235.0)
    assert len(parts) == 3 * 2
    assert all(p.width <= 179.0 and p.height <= 235.0 for p in parts)
    assert min(p.left for p in parts) == big.left
    assert max(p.left + p.width for p in parts) == pytest.approx(big.left + big.width)
    assert max(p.top + p.height for p in parts) == pytest.approx(big.top + big.height)
    row = sorted((p for p in parts if p.top == big.top), key=lambda p: p.left)
    for first, second in pairwise(row):
        assert first.left + first.width - second.left >= 10.0 - 1e-9
    assert "part A1 of 2 × 3" in parts[0].title
    for p in parts:
        ET.fromstring(p.svg())


def test_packing_keeps_order_and_fits() -> None:
    drawings = [sheet(80.0, 70.0 + k) for k in range(7)]
    pages = packed(drawings, 179.0, 235.0)
    flat = [d for page in pages for row in page for d in row]
    assert flat == drawings
    for page in pages:
        assert sum(max(d.height for d in row) for row in page) <= 235.0
        for row in page:
            assert sum(d.width for d in row) <= 179.0
    assert [len(r) for r in pages[0]] == [2, 2, 2]
    assert len(packed([sheet(400.0, 50.0)], 179.0, 235.0)[0]) == 3


def test_text_is_escaped_and_paths_close() -> None:
    assert "&lt;i&gt;" in label(0, 0, "<i>")
    assert path([[(0, 0), (1, 0), (1, 2)]]) == "M0.00 0.00L1.00 0.00L1.00 2.00Z"
    assert path([[(0, 0), (1, 0)]], closed=False) == "M0.00 0.00L1.00 0.00"
    assert path([[]]) == ""


def test_each_match_mark_is_on_both_parts_that_meet_there() -> None:
    """A lettered cross lies whole within the overlap, so it is printed on both sheets."""
    parts = tiles(sheet(400.0, 300.0), 179.0, 235.0)
    places = {}
    for p in parts:
        for e in ET.fromstring(p.svg()).iter():
            if e.tag.endswith("text") and e.text:
                places.setdefault(e.text, set()).add((e.get("x"), e.get("y")))
    assert len(places) >= 2 * (2 * 2 + 3)  # 2 x 2 seams across, 3 down, two marks each
    for found in places.values():
        ((x, y),) = found
        holding = [
            p
            for p in parts
            if p.left + 3 <= float(x) - 0.8 <= p.left + p.width - 3
            and p.top + 3 <= float(y) + 0.8 <= p.top + p.height - 3
        ]
        assert len(holding) >= 2
