"""The cutting card on paper: rasterised at 300 dots an inch and measured."""

from __future__ import annotations

import dataclasses
import io
import math
import shutil
import subprocess
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from fake_plan import fake_plan
from PIL import Image
from pypdf import PdfReader

from partline.card.planning import plan_card
from partline.card.unrolling import layout_of
from partline.faces.card_pdf import card_pdf, parted, room
from partline.faces.paper import PAPERS, PaperName
from partline.faces.words import notch_side
from partline.faces.wrap_drawing import wrap_drawing
from partline.plan import Plan

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="pdftoppm (poppler) is not installed"
)
DOTS = 300
PER_MM = DOTS / 25.4


@pytest.fixture(scope="module")
def plan() -> Plan:
    made = fake_plan()
    return dataclasses.replace(
        made, card=plan_card(made.cut, made.stand, made.container, made.detail)
    )


def raster(data: bytes, folder: Path, page: int) -> np.ndarray:
    """Return a page as (rows, columns) greys, 300 dots an inch."""
    (folder / "card.pdf").write_bytes(data)
    subprocess.run(
        ["pdftoppm", "-r", str(DOTS), "-gray", "-f", str(page), "-l", str(page), "-singlefile",
         "card.pdf", "page"],
        cwd=folder, check=True,
    )  # fmt: skip
    return np.asarray(Image.open(folder / "page.pgm"))


def longest_run(line: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))


@needs_poppler
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_both_bars_measure_100_mm_on_every_page(
    plan: Plan, paper: PaperName, tmp_path: Path
) -> None:
    data = card_pdf(plan, paper=paper)
    pages = PdfReader(io.BytesIO(data)).pages
    assert len(pages) >= 4
    for number, page in enumerate(pages, 1):
        size = float(page.mediabox.width) / 72 * 25.4, float(page.mediabox.height) / 72 * 25.4
        assert size == pytest.approx(PAPERS[paper], abs=0.01)
        dark = raster(data, tmp_path, number) < 128
        margin = round(18 * PER_MM)
        # The bars stand in the margins, below and left of everything else.
        flat = max(longest_run(row) for row in dark[-margin:])
        upright = max(longest_run(column) for column in dark[:, :margin].T)
        assert abs(flat - 1181) <= 1, number
        assert abs(upright - 1181) <= 1, number


@needs_poppler
def test_a_mark_lies_where_it_was_planned(plan: Plan, tmp_path: Path) -> None:
    """The ticks of cut 1 are found by their ink, 0.35 mm thick and 4.4 mm long."""
    assert plan.card is not None
    drawing = wrap_drawing(plan.card, notch_deg=notch_side(plan))
    inside = [
        (page, part, m)
        for page, part in enumerate(parted(drawing, *room("A4")), start=2)
        for cut in plan.card.cuts for m in cut.marks
        if m.number > 1 and part.left + 6 < m.on_wrap_mm[0] < part.left + part.width - 6
        and part.top + 6 < m.on_wrap_mm[1] < part.top + part.height - 6
    ]  # fmt: skip
    page, part, mark = inside[len(inside) // 2]
    dark = raster(card_pdf(plan), tmp_path, page) < 90  # black ink only, not that of the cut
    x = 19.0 + mark.on_wrap_mm[0] - part.left
    y = 10.0 + 15.0 + 13.0 + mark.on_wrap_mm[1] - part.top
    around = dark[round((y - 1) * PER_MM) : round((y + 1) * PER_MM),
                  round((x - 3.5) * PER_MM) : round((x + 3.5) * PER_MM)]  # fmt: skip
    runs = [longest_run(row) for row in around]
    row = int(np.argmax(runs))
    assert runs[row] >= 4.0 * PER_MM
    thick = np.flatnonzero(np.array(runs) > 3.5 * PER_MM)
    assert abs(thick.mean() + round((y - 1) * PER_MM) + 0.5 - y * PER_MM) <= 1.5
    # Other ink may lie in the same row: the tick is its longest unbroken run.
    columns = np.flatnonzero(around[row])
    tick = max(np.split(columns, np.flatnonzero(np.diff(columns) > 1) + 1), key=len)
    middle = tick.mean() + round((x - 3.5) * PER_MM) + 0.5
    assert abs(middle - x * PER_MM) <= 1.5


def test_the_mouth_edge_is_as_long_as_the_circumference(plan: Plan) -> None:
    assert plan.card is not None
    wrap, block = plan.card.wrap, plan.card.block
    long = np.linalg.norm(np.diff(wrap.mouth_edge, axis=0), axis=1).sum()
    assert long == pytest.approx(2 * math.pi * block.half_mm[0], abs=0.01)
    assert wrap.round_mouth_mm == pytest.approx(long, abs=0.01)


def test_marks_read_off_the_drawing_roll_back_onto_the_container(plan: Plan) -> None:
    """What is printed is rounded to a hundredth; rolled up it is within 0.05 mm in space."""
    assert plan.card is not None
    ends = np.vstack([cut.strokes.ends for cut in plan.card.cuts])
    layout = layout_of(plan.card.block, ends)
    for cut in plan.card.cuts:
        printed = np.round([m.on_wrap_mm for m in cut.marks], 2)
        back = layout.roll(printed)
        assert np.abs(back - [m.place_mm for m in cut.marks]).max() < 0.05
        depth = np.linalg.norm(back - [m.tip_mm for m in cut.marks], axis=1)
        assert np.allclose(depth, [m.depth_mm for m in cut.marks], atol=0.05)


def test_the_file_says_not_to_scale_and_carries_its_letters(plan: Plan) -> None:
    reader = PdfReader(io.BytesIO(card_pdf(plan, today=date(2031, 5, 6))))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    text = "\n".join(page.extract_text() for page in reader.pages)
    for words in ("2031-05-06", plan.job.name, "DO NOT CUT", "FRONT", "mouth edge", "try here",
                  "Placing disc", "Mouth disc", "Sample of the zigzag",
                  "hand follows"):  # fmt: skip
        assert words in text, words
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            name = font.get_object()["/BaseFont"]
            descriptor = font.get_object().get("/FontDescriptor")
            if descriptor is not None:
                assert "/FontFile2" in descriptor.get_object(), name
