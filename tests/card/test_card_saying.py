"""What the card says of the blade's reach, at the mark and in words."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "faces"))
from fake_plan import fake_plan

from partline.card.cutting_card import CuttingCard
from partline.card.planning import plan_card
from partline.card.saying import of_card, of_cut
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


@pytest.fixture(scope="module")
def card(plan: Plan) -> CuttingCard:
    return plan_card(plan.cut, plan.stand, plan.container, plan.detail, blade_mm=16.0)


def test_a_blade_that_is_too_short_is_said_at_each_mark_and_in_words(card: CuttingCard) -> None:
    for cut in card.cuts:
        for mark in cut.marks:
            assert mark.short_mm == pytest.approx(max(0.0, mark.depth_mm - 16.0))
    short = {m.number for m in card.cuts[0].marks if m.short_mm > 0}
    assert short
    assert short != {m.number for m in card.cuts[0].marks}
    said = next(w for w in card.words if "too short" in w)
    assert "16 mm" in said
    assert "cut 1" in said
    assert "cut 2" in said


def test_without_an_answer_the_longest_depth_is_said(card: CuttingCard, plan: Plan) -> None:
    said = of_card(plan.container, 2.5, card.cuts, None)[-1]
    deepest = max(float(cut.strokes.depths_mm.max()) for cut in card.cuts)
    assert f"reach {-int(-deepest // 1)} mm" in said
    assert card.deepest_mm == pytest.approx(deepest)
    long = of_card(plan.container, 2.5, card.cuts, deepest + 0.01)[-1]
    assert "reaches everywhere" in long
    none = of_card(plan.container, 2.5, card.cuts, deepest - 0.01)[-1]
    assert "too short" in none


@pytest.mark.parametrize(
    ("z", "words"),
    [
        (20.4, "at the ledge where foot block and piece meet: cut up to there from each side and "
               "join the two cuts in its corner"),
        (9.0, "at the foot block: cut up to there from each side and join the two cuts at the "
              "block"),
        (40.0, "to both sides of something"),
    ],
)  # fmt: skip
def test_where_the_way_parts_at_the_foot_block_it_is_said(
    card: CuttingCard, z: float, words: str
) -> None:
    whole = card.cuts[0]
    feet = whole.strokes.feet.copy()
    feet[4, 2] = z
    split = dataclasses.replace(whole.strokes, feet=feet, splits=np.array([4], dtype=np.int32))
    said = [w for w in of_cut(1, split, whole.keys, seat_mm=20.0) if "parts" in w]
    assert len(said) == 1
    assert said[0].startswith(f"Cut 1: {z:.0f} mm below the mouth")
    assert words in said[0]


def test_without_a_cut_no_blade_is_asked_for(plan: Plan) -> None:
    own = dataclasses.replace(plan.container, own=True)
    assert of_card(own, 2.5, (), None) == (
        "No cut is planned: the block is not opened with a knife.",
    )
