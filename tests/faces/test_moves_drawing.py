"""The strip of moves: dark is the side that goes down in the dial, the right one in the still."""

from __future__ import annotations

import re
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from test_playing import rocked

from partline.faces.move_stills import Still, move_stills
from partline.faces.moves_drawing import moves_strip
from partline.faces.played_air import air_shown, played_air
from partline.faces.playing import played
from partline.faces.resin_moves import Step, moves
from partline.faces.view import View

SQUARE = np.array([[-20.0, 0.0], [20.0, 0.0], [20.0, 40.0], [-20.0, 40.0]])
STILL = Still((SQUARE,), (SQUARE / 2,), (SQUARE / 8,), SQUARE[2:] / 2)


def dark_side(body: str) -> np.ndarray:
    """Return the middle of the dark part against the middle of its dial, y up the paper."""
    found = list(ET.fromstring(f"<g>{body}</g>").iter())
    dial = next(e for e in found if e.tag == "circle")
    path = next(e for e in found[found.index(dial) :] if e.tag == "path")
    points = np.array([float(v) for v in re.findall(r"-?\d+\.\d+", path.get("d", ""))])
    middle = [float(dial.get("cx", "")), float(dial.get("cy", ""))]
    return (points.reshape(-1, 2).mean(axis=0) - middle) * [1, -1]


def words(body: str) -> list[str]:
    return ["".join(e.itertext()) for e in ET.fromstring(f"<g>{body}</g>").iter("text")]


@pytest.mark.parametrize(
    ("azimuth", "toward", "said"),
    # Clockwise as one looks down, the front toward you: a quarter turn from it is on your left.
    [(0.0, (0, -1), "front down"), (90.0, (-1, 0), "left down"), (180.0, (0, 1), "back down"),
     (270.0, (1, 0), "right down"), (45.0, (-0.71, -0.71), "front left down")],
)  # fmt: skip
def test_side(azimuth: float, toward: tuple[float, float], said: str) -> None:
    (strip,) = moves_strip([Step("rock", azimuth, 41.0, "40 s", 30.0)], [STILL], 190.0)
    side = dark_side(strip.body)
    np.testing.assert_allclose(side / np.linalg.norm(side), toward, atol=0.02)
    assert words(strip.body) == ["1", "rock", said, "41°, hold 40 s", "leaves 30 mm³"]


def test_level_has_no_dark_side_and_rows_keep_to_the_page() -> None:
    steps = [Step("rock", 30.0 * k, 40.0) for k in range(6)]
    steps.append(Step("top up", None, 0.0, left_mm3=0.0))
    rows = moves_strip(steps, [STILL] * 7, 179.0)
    assert [r.body.count("<rect") for r in rows] == [4, 3]
    assert all(r.width <= 179.0 for r in rows)
    # Five do not leave one alone, and the words above are said once.
    five = moves_strip(steps[2:], [STILL] * 5, 179.0)
    assert [r.body.count("<rect") for r in five] == [3, 2]
    assert [bool(r.notes) for r in five] == [True, False]
    assert rows[1].body.count("<circle") == 4
    assert words(rows[1].body)[-2:] == ["level", "leaves no air"]
    assert moves_strip([], [], 179.0) == ()


def test_the_stills_are_tipped_with_the_side_that_goes_down_on_the_right() -> None:
    plan = rocked()
    for step, still in zip(moves(plan), move_stills(plan), strict=True):
        across, up = still.mouth[1] - still.mouth[0]
        assert across > 0
        assert np.degrees(np.arctan2(-up, across)) == pytest.approx(step.tilt_deg, abs=0.5)
        # The mouth is the piece's highest place when it is level.
        if step.azimuth_deg is None:
            assert np.vstack(still.piece)[:, 1].max() == pytest.approx(still.mouth[0, 1], abs=0.1)
        assert np.vstack(still.block)[:, 0].min() < np.vstack(still.piece)[:, 0].min()


def test_every_step_that_is_played_has_its_air() -> None:
    for plan in (rocked(), fake_plan()):
        assert len(played_air(plan)) == len(played(plan)) == len(moves(plan)) + 1
    plan = rocked()
    tip = played(plan)[3].tip
    step = View().played(3, tip)
    assert step.pour == "resin"
    assert step.tip == tip
    # What remains is what was left when it was stood up, not all that this pose could hold.
    left = played_air(plan)[2].volume_mm3
    assert air_shown(plan, step).volume_mm3 == pytest.approx(left, rel=1e-9)
    pose = air_shown(plan, View().poured("resin").tipped(tip)).volume_mm3
    assert pose != pytest.approx(left, rel=0.01)
