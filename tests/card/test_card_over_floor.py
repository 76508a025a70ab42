"""A cut over the floor of the mould: up one side, out of the far face, short of the hinge."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "faces"))
from fake_plan import fake_plan
from through import last_met

from partline.card.clear import TIP_MM
from partline.card.cutting_card import CuttingCard
from partline.card.planning import plan_card
from partline.card.swept import crossings
from partline.card.unrolling import EndLayout
from partline.cut.cut import Cut, OverFloor
from partline.faces.far_disc import far_disc, outline
from partline.plan import Plan

TOWARD = (0.0, -1.0, 0.0)  # from the back to a hinge at the front
LIMITS = (-2.0, 3.0, 9.0)


@pytest.fixture(scope="module")
def plan() -> Plan:
    made = fake_plan()
    return dataclasses.replace(made, cut=over_floor(made))


@pytest.fixture(scope="module")
def card(plan: Plan) -> CuttingCard:
    return plan_card(plan.cut, plan.stand, plan.container, plan.detail)


def over_floor(plan: Plan) -> Cut:
    """A line up the back of the piece, over its top and on to the "likely" place."""
    rays, piece = plan.stand.cavity.surface.rays, plan.stand.piece.vertices
    low, top = piece[:, 2].min() + 0.2, piece[:, 2].max()
    back = np.column_stack([np.zeros(60), np.full(60, 90.0), np.linspace(low, top - 1.0, 60)])
    far, face = rays.first(back, np.array(TOWARD))
    up = (back + far[:, None] * TOWARD)[face >= 0]
    above = np.column_stack(
        [np.zeros(30), np.linspace(up[-1, 1] - 0.5, -LIMITS[1], 30), np.full(30, top + 9)]
    )
    far, face = rays.first(above, np.array([0.0, 0.0, -1.0]))
    over = (above - far[:, None] * np.array([0.0, 0.0, 1.0]))[face >= 0]
    edge = OverFloor("front", TOWARD, *LIMITS, web_mm=20.0)
    line = dataclasses.replace(plan.cut.lines[0], points=np.vstack([up, over]), azimuth_deg=180.0,
                               over=edge)  # fmt: skip
    return dataclasses.replace(plan.cut, lines=(line,), count=1)


def test_the_blade_comes_out_of_the_side_and_then_of_the_far_face(
    card: CuttingCard, plan: Plan
) -> None:
    assert [cut.face for cut in card.cuts] == ["side", "far face"]
    side, far = card.cuts
    height = card.block.height_mm
    assert side.strokes.ends[-1] == pytest.approx(far.strokes.ends[0], abs=1e-6)
    assert side.strokes.ends[-1][2] == pytest.approx(height, abs=1e-6)
    assert np.all(side.strokes.ends[:, 2] <= height + 1e-9)
    assert far.strokes.ends[:, 2] == pytest.approx(height, abs=1e-6)
    # On the edge of the far face the last stroke of the wall lies on the wall too.
    radius = card.block.half_mm[0] + card.block.slope * height
    middle = np.array(card.block.centre_mm)
    assert np.hypot(*(side.strokes.ends[-1][:2] - middle)) == pytest.approx(radius, abs=1e-6)
    for cut in card.cuts:
        assert cut.strokes.clear.mean() > 0.95
        met = last_met(plan.stand.cavity.surface, cut.strokes)
        assert met[cut.strokes.clear].max(initial=0.0) <= TIP_MM
        assert len(crossings(cut.surface)) == 0
        assert len(crossings(cut.keys.surface)) == 0
    assert [m.number for c in card.cuts for m in c.marks] == list(
        range(1, len(side.marks) + len(far.marks) + 1)
    )


def test_places_on_the_disc_are_those_on_the_block(card: CuttingCard) -> None:
    layout = EndLayout(card.block)
    far = card.cuts[1]
    printed = np.round([m.on_wrap_mm for m in far.marks], 2)
    assert np.abs(layout.roll(printed) - [m.place_mm for m in far.marks]).max() < 0.05
    assert far.marks[-1].lean_deg < 25.0
    assert {m.toward for m in far.marks} <= {"", "the back", "the front", "left", "right"}


def test_stops_lie_where_they_were_said_and_the_hinge_is_hatched(card: CuttingCard) -> None:
    far = dict(card.cuts[1].stops)
    # Front toward you is down the paper, so along TOWARD is +y there.
    assert far["never past"][1] == pytest.approx(far["likely"][1] + LIMITS[2] - LIMITS[1], abs=1.5)
    assert far["try here"][1] < far["likely"][1]
    assert len(card.wrap.web) > 4
    web = card.wrap.web
    # The hinge's strip holds the front line and no stroke.
    assert web[:, 0].min() < card.wrap.front[0, 0] < web[:, 0].max()
    middle = card.cuts[0].middle
    inside = (middle[:, 0] > web[:, 0].min()) & (middle[:, 0] < web[:, 0].max())
    assert not inside.any()


def test_the_disc_is_as_large_as_the_far_face(card: CuttingCard, plan: Plan) -> None:
    drawing = far_disc(card)
    assert drawing is not None
    assert drawing.scale == 1.0
    wide = 2 * (card.block.half_mm[0] + card.block.slope * card.block.height_mm)
    assert np.ptp(outline(card)[:, 0]) == pytest.approx(wide, rel=1e-4)
    for words in ("never past", "likely", "FRONT"):
        assert words in drawing.body
    for mark in card.cuts[1].marks:
        assert f"{mark.number}  " in drawing.body
    ordinary = plan_card(fake_plan().cut, plan.stand, plan.container, plan.detail)
    assert far_disc(ordinary) is None
