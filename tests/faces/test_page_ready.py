"""Vents and brushing on the sheet: what to make and do, in the order of the work."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said
from readied import readied

from partline.faces.discs import mouth_disc
from partline.faces.page_ready import ready_blocks
from partline.faces.page_resin import resin_page
from partline.faces.page_sources import sources_page
from partline.faces.page_stand import stand_page
from partline.faces.sheet import sheet_html
from partline.faces.sheet_blocks import Drawings, Together
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return readied()


def test_nothing_is_said_where_nothing_is_planned() -> None:
    bare = fake_plan()
    assert ready_blocks(desk(bare)) == ()
    page = said(resin_page(desk(bare)))
    for word in ("V1", "B1", "clay", "Brush"):
        assert word not in page
    assert "Close the lips, band the block" in page
    assert "Rods" not in said(stand_page(desk(bare)))


def test_ends_there_is_no_time_to_brush_get_talc_before_anything_is_mixed() -> None:
    page = said(resin_page(desk(readied(ends=3, in_time=1))))
    assert "Dust talc into B2 and B3 with a dry soft brush" in page
    assert "there is time for 1 of 3" in page
    assert "brush a film of resin into B1." in page
    assert page.index("Dust talc into B2") < page.index("the scale then reads")
    none = said(resin_page(desk(readied(ends=2, in_time=0))))
    assert "Dust talc into B1 and B2" in none
    assert "Close the lips, band the block" in none
    assert "film of resin" not in none
    all_of_them = said(resin_page(desk(readied(ends=2))))
    assert "Dust talc" not in all_of_them


def test_the_page_says_what_to_make_and_do_in_order(plan: Plan) -> None:
    page = said(resin_page(desk(plan)))
    order = [
        "the lips stay open until resin is brushed in",
        "stop each with a bit of clay",
        "Vents: for the air",
        "Brush resin in here before closing",
        "the scale then reads",
        "brush a film of resin into B1 and B2",
        "thin stream",
        "open the vents",
        "pressure pot",
    ]
    found = [page.lower().index(words.lower()) for words in order]
    assert found == sorted(found)
    assert page.count("band the block between boards") == 1
    for words in (
        "38 mm",
        "straight up",
        "70 mm³",
        "place 1",
        "With its vent place 1 keeps 20 mm³",
        "5 mm³",
        "Place 1 keeps 90 mm³ after the moves: no listed move",
        "Cut 2 runs through place 1",
        "estimate",
    ):
        assert words in page, words


def test_the_drawings_show_both_marks_and_the_vent_as_a_line(plan: Plan) -> None:
    vents, block = ready_blocks(desk(plan))
    assert isinstance(vents, Together)
    assert isinstance(block, Together)
    (drawings,) = [b for b in block.blocks if isinstance(b, Drawings)]
    for drawing in drawings.row:
        for name in ("V1", "B1", "B2"):
            assert f">{name}<" in drawing.body
    disc = mouth_disc(plan)
    assert ">V1<" in disc.body
    # Looking into the mouth, front toward you: x is mirrored.
    assert 'cx="-18.00" cy="3.00" r="1.00"' in disc.body


def test_rods_are_told_before_the_rubber_and_figures_at_the_end(plan: Plan) -> None:
    stand = said(stand_page(desk(plan)))
    assert "Rods for the vents, 2 mm thick" in stand
    assert "V1 38 mm long" in stand
    sources = said(sources_page(desk(plan)))
    assert "diameter of a vent" in sources
    own = plan.job.model_copy(
        update={"vents": plan.job.vents.model_copy(update={"largest_air_mm3": 5.0})}
    )
    stated = said(sources_page(desk(dataclasses.replace(plan, job=own))))
    assert stated.count("stated in the job file") == sources.count("stated in the job file") + 1


def test_many_ends_are_counted_not_listed() -> None:
    page = said(resin_page(desk(readied(ends=9))))
    assert "B6" in page
    assert "B7" not in page
    assert "And 3 narrow ends with less detail" in page


def test_the_sheet_holds_them_in_html(plan: Plan) -> None:
    html = sheet_html(plan)
    assert "Brush resin in here before closing" in html
    assert "V1" in html
