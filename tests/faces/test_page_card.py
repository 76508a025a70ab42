"""The card that lives with the mould: grams, the label's ratio, notch, pulls to tick."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.faces.page_card import card_page
from partline.faces.sheet_blocks import Box, Table


def test_what_the_next_pull_needs() -> None:
    page = said(card_page(desk(fake_plan())))
    for words in ("toadstool knob", "isocyanate part to 11.8 g, then polyol part to 25.0 g",
                  "label: 90 : 100 by weight", "hardener to 27.0 g, then rubber to 297.0 g",
                  "label: 1 : 10 by weight", "9 oz cup",
                  "never past 58 mm", "tip 20°"):  # fmt: skip
        assert words in page, words


def test_a_box_for_every_pull_of_its_life() -> None:
    plan = fake_plan()
    for life, boxes in ((7, 7), (20, 20), (500, 60)):
        run = plan.job.run.model_copy(update={"life": life})
        job = plan.job.model_copy(update={"run": run})
        (box,) = card_page(desk(dataclasses.replace(plan, job=job))).blocks
        assert isinstance(box, Box)
        ticks = box.blocks[-1]
        assert isinstance(ticks, Table)
        assert sum(bool(cell) for row in ticks.rows for cell in row) == boxes
        assert all(len(row) == len(ticks.shares) for row in ticks.rows)


def test_without_a_ratio_there_is_room_to_write_it() -> None:
    plan = dataclasses.replace(fake_plan(), rubber_mix=None)
    assert "mix 297 g: ____" in said(card_page(desk(plan)))
