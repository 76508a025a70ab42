"""The table of the cuts that were weighed: the planned one first, sides as the knife meets them."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.faces.page_cut import demould_page
from partline.faces.page_weighed import weighed_blocks, which_cuts
from partline.faces.sheet_blocks import Table
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def rows_of(plan: Plan) -> list[list[str]]:
    table = next(b for b in weighed_blocks(desk(plan)) if isinstance(b, Table))
    assert table.kind == "figures"
    assert sum(table.shares) == pytest.approx(1.0)
    assert all(len(row) == len(table.head) == len(table.shares) for row in table.rows)
    return [[said(cell) for cell in row] for row in table.rows]


def test_planned_first_then_each_that_was_weighed(plan: Plan) -> None:
    names = [row[0] for row in rows_of(plan)]
    assert names == [
        "2 cuts, back right and back left (planned): comes out with a firm pull",
        "1 cut, back right: try it",
        "no cut: will not",
    ]
    assert which_cuts(plan.cut) == "2 cuts, back right and back left"


def test_figures_are_those_of_the_cut(plan: Plan) -> None:
    two, one, none = rows_of(plan)
    assert two[7] == one[7] == none[7] == "32 % to 51 %"
    assert {row[8] for row in (two, one, none)} == {"17 mm"}  # 75 mm filled, cut to 58 mm
    assert float(one[1].removesuffix(" mm")) == pytest.approx(plan.cut.lines[0].length_mm, abs=0.06)
    assert none[1:7] == ["–", "none", "–", "–", "–", "–"]


def test_left_and_right_change_over_for_the_knife(plan: Plan) -> None:
    first = dataclasses.replace(plan.cut.lines[0], clearance_left_mm=4.0, clearance_right_mm=9.0)
    cut = dataclasses.replace(plan.cut, lines=(first,), count=1)
    row = rows_of(dataclasses.replace(plan, cut=cut))[0]
    assert row[3:5] == ["9 mm", "4 mm"]


def test_worst_detail_has_its_grade_beside_it(plan: Plan) -> None:
    first = dataclasses.replace(plan.cut.lines[0], worst_detail=0.62)
    cut = dataclasses.replace(plan.cut, lines=(first,), count=1)
    assert rows_of(dataclasses.replace(plan, cut=cut))[0][2] == "0.62, clear detail"


def test_it_stands_behind_the_coming_out_and_only_with_others(plan: Plan) -> None:
    page = said(demould_page(desk(plan)))
    assert page.index("Loosen the block") < page.index("Also weighed")
    alone = dataclasses.replace(plan, cut=dataclasses.replace(plan.cut, alternatives=()))
    assert weighed_blocks(desk(alone)) == ()
    assert "Also weighed" not in said(demould_page(desk(alone)))
