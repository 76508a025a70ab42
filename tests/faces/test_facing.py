"""From where the cut is looked at: its start faces the eye in either pour."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.facing import facing
from partline.faces.labels import screen_axes
from partline.faces.scene import actors
from partline.faces.view import View

PLAN = fake_plan()


@pytest.mark.parametrize("pour", ["rubber", "resin"])
@pytest.mark.parametrize("turn", [0.0, 90.0, 215.0])
def test_the_ball_at_the_start_is_in_front_of_the_middle(pour: str, turn: float) -> None:
    angle = np.radians(turn)
    spin = np.array(
        [[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]]
    )
    line = PLAN.cut.lines[0]
    line = replace(line, points=line.points @ spin.T)
    plan = replace(PLAN, cut=replace(PLAN.cut, lines=(line,)))
    view = facing(plan, View(pour=pour))
    right, _, toward = screen_axes(view.eye)
    shown = {a.name: a for a in actors(plan, view)}
    start = shown["start 0"].vertices.mean(axis=0) - shown["piece"].vertices.mean(axis=0)
    assert abs(start @ right) < 0.5
    assert start[:2] @ toward[:2] > 5.0
    # As high as any view begins, so that the cut's lower end is not looked down upon.
    assert toward[2] == pytest.approx(screen_axes(View().eye)[2][2])


def test_without_a_cut_the_eye_stays() -> None:
    bare = replace(PLAN, cut=replace(PLAN.cut, lines=()))
    view = View(eye=(1.0, 0.2, 0.5))
    assert facing(bare, view) == view
