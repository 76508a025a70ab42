"""Where a cut starts is said once, as the wrap has it: on the disc, in the table, on the card."""

from __future__ import annotations

import dataclasses
import math
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.card.planning import plan_card
from partline.faces.cut_starts import first_stroke, start_deg
from partline.faces.discs import mouth_disc
from partline.faces.page_card import card_page
from partline.faces.page_cut import cut_page
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The middle of each line lies a third of the way round from where it starts."""
    made = fake_plan()
    card = plan_card(made.cut, made.stand, made.container, made.detail)
    lines = tuple(
        dataclasses.replace(line, azimuth_deg=(line.azimuth_deg + 120.0) % 360.0)
        for line in made.cut.lines
    )
    return dataclasses.replace(made, card=card, cut=dataclasses.replace(made.cut, lines=lines))


def test_a_cut_starts_where_the_wrap_has_its_first_mark(plan: Plan) -> None:
    assert plan.card is not None
    for number, cut in enumerate(plan.card.cuts, 1):
        x, y, _ = cut.marks[0].place_mm
        centre = plan.container.centre_mm
        round_ = math.degrees(math.atan2(x - centre[0], centre[1] - y)) % 360.0
        assert start_deg(plan, number) == pytest.approx(round_, abs=0.5)
        stroke = first_stroke(plan, number)
        assert stroke is not None
        assert stroke[1].tolist() == pytest.approx([x, y], abs=0.1)


def test_disc_table_and_card_say_the_same(plan: Plan) -> None:
    pages = [mouth_disc(plan).svg(), said(cut_page(desk(plan))), said(card_page(desk(plan)))]
    for number in (1, 2):
        degrees = f"{start_deg(plan, number):.0f}°"
        assert all(degrees in page for page in pages)
        middle = f"{plan.cut.lines[number - 1].azimuth_deg:.0f}°"
        assert not any(middle in page for page in pages)


def test_without_a_card_it_is_the_side_of_the_line(plan: Plan) -> None:
    bare = dataclasses.replace(plan, card=None)
    assert start_deg(bare, 1) == plan.cut.lines[0].azimuth_deg
    assert first_stroke(bare, 1) is None
