"""The card of a whole small plan: marks, stops, words, and the way in from the mouth."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from fake_plan import fake_plan
from through import last_met

from partline.card.approach import ways_out, whole_line
from partline.card.clear import TIP_MM
from partline.card.cutting_card import CuttingCard, blade_rows
from partline.card.planning import plan_card
from partline.geometry.nearest import face_distances
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


@pytest.fixture(scope="module")
def card(plan: Plan) -> CuttingCard:
    return plan_card(plan.cut, plan.stand, plan.container, plan.detail)


def test_the_line_begins_on_the_mouth_face_and_keeps_to_foot_block_and_piece(plan: Plan) -> None:
    surface = plan.stand.cavity.surface
    for line in plan.cut.lines:
        points = whole_line(plan.stand, line)
        assert points[0, 2] == pytest.approx(0.0, abs=1e-9)
        assert np.allclose(points[-1], line.points[-1])
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        assert steps.max() <= 1.5 + 1e-9
        block = points[points[:, 2] < plan.stand.seat_mm - 0.5]
        assert len(block) > 5
        assert max(face_distances(surface, p).min() for p in block) < 0.05
        ways = ways_out(surface, points)
        assert np.allclose(np.linalg.norm(ways, axis=1), 1.0)


def test_marks_stand_10_to_15_mm_apart_from_the_mouth_on(card: CuttingCard) -> None:
    for cut in card.cuts:
        places = np.array([m.on_wrap_mm for m in cut.marks])
        steps = np.linalg.norm(np.diff(cut.middle, axis=0), axis=1)
        steps[cut.strokes.splits] = 0.0  # nothing is cut from one side of a split to the other
        arc = np.concatenate([[0.0], np.cumsum(steps)])
        at = [arc[np.linalg.norm(cut.middle - p, axis=1).argmin()] for p in places]
        assert np.all(np.diff(at) > 8.5)
        assert np.all(np.diff(at) < 16.5)
        assert cut.marks[0].place_mm[2] == pytest.approx(0.0, abs=0.5)
        assert cut.marks[-1].number == len(cut.marks)
        assert all(0 < m.keys_mm < m.depth_mm for m in cut.marks)
        assert [words for words, _ in cut.stops][:1] == ["try here"]


def test_strokes_called_clear_meet_nothing_but_for_their_tips(
    card: CuttingCard, plan: Plan
) -> None:
    for cut in card.cuts:
        met = last_met(plan.stand.cavity.surface, cut.strokes)
        # The line was drawn by hand and dips into the rim, by more than a tip: there none is.
        assert cut.strokes.clear.mean() > 0.8
        assert met[cut.strokes.clear].max(initial=0.0) <= TIP_MM


def test_the_web_lies_beyond_every_cut(card: CuttingCard, plan: Plan) -> None:
    deepest = max(float(cut.strokes.ends[:, 2].max()) for cut in card.cuts)
    assert deepest < card.block.height_mm
    assert len(card.wrap.web)
    assert plan.container.fill_height_mm == card.block.height_mm


def test_a_stock_container_is_to_be_measured_first(card: CuttingCard, plan: Plan) -> None:
    assert len(card.measures) == 3
    assert any("Measure your own" in w for w in card.words)
    own = plan_card(
        plan.cut, plan.stand, dataclasses.replace(plan.container, own=True), plan.detail
    )
    assert not any("Measure your own" in w for w in own.words)


def test_with_no_cut_there_is_a_card_without_strokes(plan: Plan) -> None:
    none = dataclasses.replace(plan.cut, lines=(), count=0)
    card = plan_card(none, plan.stand, plan.container, plan.detail)
    assert card.cuts == ()
    assert len(card.wrap.web) == 0
    assert any("No cut" in w for w in card.words)
    assert blade_rows(card) == []
    assert blade_rows(None) is None
