"""Vents, brushing and bubbles in words, and in the scene."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from readied import readied

from partline.air.rising import rise_of
from partline.faces.ready_words import ready_lines, rise_words, vent_rows
from partline.faces.scene import actors, turned_over
from partline.faces.view import View
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return readied()


def test_the_windows_lines_are_those_of_the_pour_that_is_shown(plan: Plan) -> None:
    resin = "\n".join(ready_lines(plan, View().poured("resin")))
    for words in (
        "Vent V1 in place 1",
        "Brush resin into B1",
        "Place 1 keeps 90 mm³",
        "With its vent place 1 keeps",
        "Cut 2 runs through place 1",
        "leaves in time",
    ):
        assert words in resin, words
    assert ready_lines(plan, View()) == ()
    assert ready_lines(fake_plan(), View().poured("resin")) == ()


def test_a_leaning_vent_says_toward_which_hand(plan: Plan) -> None:
    """Turned over and looked into with the front toward you, the piece's +x is on your left."""
    found = plan.resin_pour.vents
    lean = np.radians(30.0)
    way = np.array([np.sin(lean), 0.0, -np.cos(lean)])
    one = dataclasses.replace(found.vents[0], direction=way, lean_deg=30.0)
    pour = dataclasses.replace(plan.resin_pour, vents=dataclasses.replace(found, vents=(one,)))
    (row,) = vent_rows(pour, plan.stand)
    assert row["way"] == "up, leaning 30° toward your left"


@pytest.mark.parametrize(
    ("viscosity", "has", "words"),
    [
        (0.1, 90.0, "it leaves in time"),
        (20.0, 900.0, "it does not leave in time, unless"),
        (20.0, None, "only the label tells"),
    ],
)
def test_whether_a_bubble_leaves(viscosity: float, has: float | None, words: str) -> None:
    rise = rise_of(0.5, 60.0, has, viscosity_pa_s=viscosity, density=1.1)
    said = rise_words(rise, "rubber")
    assert words in said
    assert "estimate" in said
    assert rise_words(None, "rubber") == ""


def test_the_scene_has_a_rod_to_the_mouth_face_and_a_bead_at_each_end(plan: Plan) -> None:
    shown = actors(plan, View().switched("air", True).poured("resin"))
    (rod,) = [a for a in shown if a.name.startswith("air vent")]
    vent = plan.resin_pour.vents.vents[0]
    assert rod.tube_mm == 1.0
    assert np.allclose(rod.vertices, turned_over(np.vstack([vent.place, vent.exit]), plan, "resin"))
    assert len([a for a in shown if a.name.startswith("air brush")]) == 2
    words = {w for a in shown for w in a.labels}
    assert {"V1", "B1", "B2"} <= words
    rubber = actors(plan, View().switched("air", True))
    assert not [a for a in rubber if a.name.startswith(("air vent", "air brush"))]
