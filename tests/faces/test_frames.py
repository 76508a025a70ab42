"""The pictures between the steps: turning without jumps, resin only rising, air where it is."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from test_page_after import untipped
from test_playing import rocked

from partline.faces.frames import frames_of, shown_in
from partline.faces.playing import played
from partline.faces.tipping import up_of
from partline.faces.view import View

PLAN = rocked()
STEPS = played(PLAN)
FRAMES = frames_of(PLAN, STEPS)


def test_each_step_ends_as_it_is_said() -> None:
    ends = [a for a, b in pairwise(FRAMES) if b.step != a.step] + [FRAMES[-1]]
    assert [f.step for f in ends] == list(range(len(STEPS)))
    assert [f.tip for f in ends] == [s.tip for s in STEPS]
    assert [f.air for f in ends] == list(range(len(STEPS)))
    assert [f.filled for f in ends] == [1.0, PLAN.resin_pour.tipped.filled_share, 1, 1, 1, 1]


def test_the_mould_turns_without_a_jump_and_comes_upright_between_moves() -> None:
    ups = [up_of(View(pour="resin").tipped(f.tip)) for f in FRAMES]
    steps = np.degrees([np.arccos(np.clip(a @ b, -1, 1)) for a, b in pairwise(ups)])
    # Level to 60 degrees in six pictures is 10 degrees each.
    assert steps.max() < 10.5
    for k in (4, 5):
        assert any(f.tip is None for f in FRAMES if f.step == k)


def test_resin_rises_while_it_is_poured_and_never_falls_after() -> None:
    for k in (0, 1, 2):
        mine = [f.filled for f in FRAMES if f.step == k]
        assert all(b >= a for a, b in pairwise(mine))
    assert all(f.filled == 1.0 for f in FRAMES if f.step > 2)
    # While it is turned to be filled nothing is in it.
    assert next(f.filled for f in FRAMES if f.step == 1) == 0.0


def test_seconds_are_those_of_the_sheet() -> None:
    assert [f.held for f in FRAMES if f.step == 3 and f.held] == [
        "held 2 of 10 s", "held 5 of 10 s", "held 8 of 10 s", "held 10 s"]  # fmt: skip
    assert [f.held for f in FRAMES if f.step == 4][-1] == "held 20 s"
    assert not any(f.held for f in FRAMES if f.step in (0, 1, 2, 5))


def test_a_view_shows_the_air_only_where_it_is_sealed_in() -> None:
    pouring = next(f for f in FRAMES if f.step == 1 and 0 < f.filled < 0.5)
    view = shown_in(View(), pouring)
    assert (view.pour, view.filled, view.tip) == ("resin", pouring.filled, pouring.tip)
    assert not view.shows("air")
    turning = next(f for f in FRAMES if f.step == 4)
    view = shown_in(View(), turning)
    assert view.shows("air")
    assert view.step == 3
    assert view.filled == 1.0


@pytest.mark.parametrize("plan", [untipped(rocked()), fake_plan()])
def test_other_pours_have_their_pictures_too(plan) -> None:
    steps = played(plan)
    frames = frames_of(plan, steps)
    assert {f.step for f in frames} == set(range(len(steps)))
