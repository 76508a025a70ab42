"""The steps of the resin pour as they are played: the poses and figures of the plan's own nouns."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from test_page_after import untipped

from partline.air.rocking_plan import Kept, Move, RockingPlan
from partline.air.tipped_fill import TippedFill
from partline.faces.playing import played
from partline.faces.resin_moves import moves
from partline.geometry.directions import tipped_up
from partline.plan import Plan


def rocked(after: float = 12.0) -> Plan:
    """Return a plan that is filled tipped and rocked twice."""
    plan = fake_plan()
    up = tipped_up(90.0, 15.0, "resin")
    fill = TippedFill(up, 90.0, 15.0, 0.9, 0.0, 80.0, plan.resin_pour.level.volume_mm3, 50.0,
                      (80.0,), ())  # fmt: skip
    kept = (Kept(after, np.zeros(3), "too flat"),) if after else ()
    rocking = RockingPlan((Move(250.0, 60.0, 10.0), Move(45.0, 40.0, 22.0)), 80.0, after,
                          (30.0, after), 68.0, kept, True, 48, 5.0, ())  # fmt: skip
    return replace(plan, resin_pour=replace(plan.resin_pour, tipped=fill, rocking=rocking))


def test_the_steps_run_from_level_to_upright() -> None:
    steps = played(rocked())
    assert [s.tip for s in steps] == [None, (90.0, 15.0), None, (250.0, 60.0), (45.0, 40.0), None]
    assert "level, mouth up" in steps[0].words
    assert steps[1].words.startswith("Tip it, your left side 15° down, and fill")
    assert "cap it; 80 mm³ of air is left." in steps[2].words
    assert steps[-1].words == (
        "Stand it upright and top it up once more; 12 mm³ of air stays in 1 place."
    )


def test_each_move_says_its_side_its_seconds_and_what_it_leaves() -> None:
    first, second = played(rocked())[3:5]
    assert first.words == (
        "Move 1 of 2: your right side 60° down, hold it 10 s, then upright again; 30 mm³ of air "
        "is left."
    )
    assert "Move 2 of 2: your front left side 40° down, hold it 20 s" in second.words


def test_every_step_is_one_sentence() -> None:
    for step in (*played(rocked()), *played(fake_plan())):
        assert step.words.endswith(".")
        assert ". " not in step.words


def test_they_are_the_moves_of_the_sheet() -> None:
    plan = rocked()
    listed = [s.tilt_deg for s in moves(plan) if s.tilt_deg >= 1.0]
    assert [s.tip[1] for s in played(plan) if s.tip is not None] == listed


@pytest.mark.parametrize(("after", "words"), [(0.0, "no air stays."), (3.0, "3 mm³ of air stays")])
def test_what_stays_is_said_of_nothing_too(after: float, words: str) -> None:
    assert words in played(rocked(after))[-1].words


def test_tipped_and_not_rocked_ends_upright() -> None:
    steps = played(fake_plan())
    assert [s.tip for s in steps] == [None, (135.0, 20.0), None]
    assert steps[-1].words == "Stand it up and top it up."


def test_kept_level_there_is_nothing_to_play() -> None:
    assert played(untipped(fake_plan())) == ()
