"""The knife's page: depths to act on, sides as one holds the block, and no figures to ponder."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.card.planning import plan_card
from partline.cut.cut import RubberLoop
from partline.faces.figures import plain
from partline.faces.page_cut import cut_page, demould_page
from partline.faces.sheet_blocks import Big, Drawings, Table, Together, TrueSize
from partline.job import CutPart


def test_depths_are_large_and_in_order() -> None:
    page = cut_page(desk(fake_plan()))
    table = next(b for b in page.blocks if isinstance(b, Table))
    for row, number in zip(table.rows, (1, 2), strict=True):
        assert f"cut {number}" in said(row[0])
        big = [cell[0].said.words for cell in row[1:] if isinstance(cell[0], Big)]
        assert big == ["38 mm", "53 mm", "58 mm"]
    assert sum(isinstance(b, TrueSize) for b in page.blocks) == 2


def test_what_explains_is_not_beside_the_knife() -> None:
    plan = fake_plan()
    words = ("Laying the lips open bends them by about 8 % (estimate).", "Slit this bridge too.")
    cut = dataclasses.replace(plan.cut, words=words)
    page = said(cut_page(desk(dataclasses.replace(plan, cut=cut))))
    assert "Slit this bridge too." in page
    assert "Laying the lips" not in page
    assert plan.cut.certificate not in page


def test_bridges_to_slit_stand_in_a_table_with_their_numbers() -> None:
    plan = fake_plan()
    holes = (
        RubberLoop((1.0, 2.0, 30.0), 20.0, 40.0, 5.0, True, 22.0, 1, np.inf),
        RubberLoop((1.0, 2.0, 30.0), 20.0, 40.0, 1.0, False, 5.0, 0, np.inf),
        RubberLoop((1.0, 2.0, 30.0), 20.0, 40.0, 4.0, True, 68.0, 0, 6.51),
    )
    words = ("S1: rubber passes through the hole.", "1 pin-hole: it tears.")
    cut = dataclasses.replace(plan.cut, loops=holes, words=words)
    page = cut_page(desk(dataclasses.replace(plan, cut=cut)))
    table = next(b for b in page.blocks if isinstance(b, Table) and said(b.head[0]) == "slit")
    rows = [[said(cell) for cell in row] for row in table.rows]
    assert [row[0] for row in rows] == ["S1", "S2"]
    assert [row[3] for row in rows] == ["cut 2, 22 mm away", "by itself, 68 mm from any cut"]
    assert [row[4] for row in rows] == ["stays on the piece", "stretches 651 %"]
    assert "5 mm" in rows[0][2]
    # Said once: the sentence about it is left to the window.
    assert "S1: rubber" not in said(page)
    assert "1 pin-hole" in said(page)
    assert not any("slit these bridges" in said(b) for b in cut_page(desk(plan)).blocks)


def test_without_a_cut_nothing_is_said_of_lips() -> None:
    plan = fake_plan()
    cut = dataclasses.replace(plan.cut, lines=(), count=0, verdict="comes out")
    bare = desk(dataclasses.replace(plan, cut=cut))
    assert "No cut" in said(cut_page(bare))
    assert "lips" not in said(demould_page(bare))
    assert "stop and cut further" not in said(demould_page(bare))
    assert "stop and cut further" in said(demould_page(desk(plan)))


def test_the_wrap_is_shown_small_with_a_depth_at_each_mark() -> None:
    plan = fake_plan()
    assert not any(isinstance(b, Together) for b in cut_page(desk(plan)).blocks)
    card = plan_card(plan.cut, plan.stand, plan.container, plan.detail)
    page = cut_page(desk(dataclasses.replace(plan, card=card)))
    together = next(b for b in page.blocks if isinstance(b, Together))
    wrap = next(b for b in together.blocks if isinstance(b, Drawings)).row[0]
    assert wrap.scale < 1.0
    assert wrap.paper_size[0] <= desk(plan).room[0] + 1e-9
    for cut in card.cuts:
        for mark in (m for m in cut.marks if m.clear):
            assert f"{mark.number}  {plain(mark.depth_mm, 0)} mm<" in wrap.body


def test_jagged_all_the_way_in_is_said_where_it_was_asked_for() -> None:
    plan = fake_plan()
    job = plan.job.model_copy(update={"cut": CutPart(next_to_piece="jagged")})
    assert "jagged all the way in" in said(cut_page(desk(dataclasses.replace(plan, job=job))))
    assert "jagged all the way in" not in said(cut_page(desk(plan)))
