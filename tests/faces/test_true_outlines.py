"""Outlines at true size, measured at 300 dpi, and percentages worked by hand."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from production_cases import production

from partline.faces.drawings import ghosts
from partline.faces.page_pieces import Desk
from partline.faces.sheet_blocks import Line, Said, Table
from partline.faces.true_outlines import (
    DRAWN_MM,
    outline_blocks,
    outline_drawings,
    reduction_percent,
)
from partline.plan import Plan
from partline.workshop.materials import defaults

DPI = 300


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_percentages_by_hand() -> None:
    # 62 mm from 100 mm: 62 %; from a 248 mm drawing: a quarter; enlarging is above 100.
    assert reduction_percent(100.0, 62.0) == pytest.approx(62.0)
    assert reduction_percent(248.0, 62.0) == pytest.approx(25.0)
    assert reduction_percent(50.0, 62.0) == pytest.approx(124.0)


def test_outlines_are_as_large_as_the_piece_at_300_dpi(plan: Plan) -> None:
    piece = plan.stand.piece
    low, high = piece.bounds
    for drawing, across in zip(outline_drawings(plan, ghosts(plan), "mm"), (0, 1), strict=True):
        assert drawing.scale == 1.0
        wide, tall = _inked(drawing.body, drawing.width, drawing.height, drawing.left, drawing.top)
        # Half a pixel on either side is 0.08 mm; thinning moves the outline 0.05 mm.
        assert wide == pytest.approx(high[across] - low[across], abs=0.2)
        assert tall == pytest.approx(plan.stand.top_mm - plan.stand.seat_mm, abs=0.2)


def _inked(body: str, wide: float, tall: float, left: float, top: float) -> tuple[float, float]:
    """Draw the first path as a printer would and return the size of what is black [mm]."""
    per_mm = DPI / 25.4
    image = Image.new("L", (round(wide * per_mm), round(tall * per_mm)), 255)
    pen = ImageDraw.Draw(image)
    found = re.search(r'<path d="([^"]+)"', body)
    assert found is not None
    for loop in re.findall(r"M([^MZz]+)[Zz]", found.group(1)):
        points = np.array([float(v) for v in re.findall(r"-?[\d.]+", loop)]).reshape(-1, 2)
        pen.polygon([tuple((p - (left, top)) * per_mm) for p in points], fill=0)
    rows, columns = np.nonzero(np.asarray(image) < 128)
    return float(np.ptp(columns) + 1) / per_mm, float(np.ptp(rows) + 1) / per_mm


def test_every_percentage_says_what_it_is(plan: Plan) -> None:
    desk = Desk(plan, "mm", "A4", ghosts(plan), defaults(plan.job.shop.defaults))
    (table,) = (b for b in outline_blocks(desk) if isinstance(b, Table))
    first = table.rows[0]
    for cell, drawn in zip(first[1:], DRAWN_MM, strict=True):
        (said,) = cell
        assert said.tag == "exact"
        printed = float(said.words.removesuffix(" %"))
        assert printed == pytest.approx(100 * plan.master.height_mm / drawn, abs=0.051)
    # A larger master is by the labels' shrinkage, a default.
    assert all(cell[0].tag == "default" for row in table.rows[1:] for cell in row[1:])


def test_a_larger_wax_is_held_against_larger_outlines() -> None:
    # Closed form: outlines printed at needed ÷ drawn are as tall as the larger master.
    made = production()
    plan = replace(fake_plan(), production=made)
    desk = Desk(plan, "mm", "A4", ghosts(plan), defaults(plan.job.shop.defaults))
    larger = made.size.needed_mm
    assert larger > plan.master.height_mm
    words = [
        inline.words if isinstance(inline, Said) else str(inline)
        for block in outline_blocks(desk) if isinstance(block, Line)
        for inline in block.text
    ]  # fmt: skip
    at = next(k for k, word in enumerate(words) if word.endswith("print them at "))
    printed = float(words[at + 1].removesuffix(" %"))
    assert printed == pytest.approx(100 * larger / plan.master.height_mm, abs=0.051)
