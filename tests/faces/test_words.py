"""Sentences: places, sides that go down, the first page's lines, US spelling."""

from __future__ import annotations

import dataclasses
import math
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.cut.cut import ScrapeStretch
from partline.faces.words import (
    american,
    bench_side,
    clearance_words,
    cut_line,
    detail_grade,
    first_lines,
    mix_words,
    opposite,
    piece_side,
    place_words,
    prop_mm,
    scrape_words,
    tip_words,
    worth_tipping,
)
from partline.geometry.directions import azimuth_of, tip_of, tipped_up
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def turned_over_sideways() -> np.ndarray:
    """Half a turn about the front-back axis: mouth up, the front mark still toward you."""
    return np.diag([-1.0, 1.0, -1.0])


def test_the_side_named_is_the_side_that_goes_down_on_the_bench() -> None:
    """The block is turned in the room by a rotation matrix and its rim is measured; you stand
    at -Y, so your left is -X."""
    yours = {
        "front": (0, -1), "left": (-1, 0), "back": (0, 1), "right": (1, 0),
        "front left": (-1, -1), "back left": (-1, 1), "back right": (1, 1),
        "front right": (1, -1),
    }  # fmt: skip
    angle = np.radians(np.arange(0, 360, 5))
    rim = np.column_stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)])
    for pour, pose in (("rubber", np.eye(3)), ("resin", turned_over_sideways())):
        for side, sideways in yours.items():
            down = np.array([*sideways, 0.0]) / np.hypot(*sideways)
            axis = np.cross(down, [0, 0, -1])  # a turn about it takes `down` toward the floor
            k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
            t = np.radians(20.0)
            tip = np.eye(3) + np.sin(t) * k + (1 - np.cos(t)) * k @ k
            room = rim @ (tip @ pose).T
            lowest = room[np.argmin(room[:, 2])]
            assert lowest[:2] @ down[:2] > 0.93
            # world up in the master's frame, as the stages give it
            up = (tip @ pose).T @ np.array([0.0, 0.0, 1.0])
            azimuth, tilt = tip_of(up, pour)  # type: ignore[arg-type]
            assert tilt == pytest.approx(20.0)
            assert bench_side(azimuth) == side, (pour, side)
            assert np.allclose(tipped_up(azimuth, 20.0, pour), up)  # type: ignore[arg-type]


def test_piece_sides() -> None:
    right, front = np.array([1.0, 0, 0]), np.array([0.0, -1, 0])
    for pour in ("rubber", "resin"):
        assert piece_side(azimuth_of(right, pour), pour) == "right"  # type: ignore[arg-type]
        assert piece_side(azimuth_of(-right, pour), pour) == "left"  # type: ignore[arg-type]
        assert piece_side(azimuth_of(front, pour), pour) == "front"  # type: ignore[arg-type]
        back_right = piece_side(azimuth_of(right - front, pour), pour)  # type: ignore[arg-type]
        assert back_right == "back right"
    assert piece_side(359.0, "resin") == "front"
    assert opposite(270.0) == 90.0


def test_places(plan: Plan) -> None:
    stand = plan.stand  # 39.6 mm wide, seat at 12, top at 62
    assert place_words((-15.0, 15.0, 53.0), stand) == "high on the left, at the back, 41 mm up"
    assert place_words((0.0, 0.0, 13.0), stand) == "low in the middle, 1 mm up"
    assert place_words((15.0, -1.0, 37.0), stand) == "half-way up on the right, 25 mm up"
    assert place_words((0.0, -15.0, 62.0), stand) == "high at the front, 50 mm up"
    assert place_words((0.0, -15.0, 3.0), stand) == "in the foot block, at the front"
    assert place_words((0.0, -15.0, 62.0), stand, "inches").endswith("1 15/16 in up")


def test_first_lines(plan: Plan) -> None:
    lines = first_lines(plan)
    assert lines[0] == "50 mm tall · 9 oz cup"
    assert lines[1] == "hardener to 27.0 g, then rubber to 297.0 g"
    assert lines[2].startswith("about ")
    assert lines[2].endswith(" g resin a casting")
    assert "1 place holds air in the resin, " in lines[3]
    assert "worst" not in lines[3]
    assert lines[3].endswith("; 1 more in the rubber")
    assert lines[4] == "two cuts, back right and back left, 9 mm from the nearest detail"
    assert len(lines) == 5
    assert first_lines(plan, "inches")[0] == "1 15/16 in tall · 9 oz cup"


def test_first_lines_ask_for_the_ratio(plan: Plan) -> None:
    bare = dataclasses.replace(plan, rubber_mix=None)
    assert first_lines(bare)[1] == "about 297 g rubber, ratio not known: read it off the label"


def test_no_air_and_no_cut(plan: Plan) -> None:
    still = dataclasses.replace(plan.resin_pour.level, pockets=())
    pour = dataclasses.replace(plan.resin_pour, level=still)
    dry = dataclasses.replace(plan.rubber_pour.level, pockets=())
    rubber = dataclasses.replace(plan.rubber_pour, level=dry)
    none = dataclasses.replace(plan, resin_pour=pour, rubber_pour=rubber)
    assert first_lines(none)[3] == "no place holds air"
    only = dataclasses.replace(plan, resin_pour=pour)
    assert "none in the resin" in first_lines(only)[3]
    cut = dataclasses.replace(
        plan.cut, lines=(), count=0, verdict="Comes out: the ring stretches by 3 %."
    )
    assert cut_line(cut) == "no cut: comes out"
    touching = dataclasses.replace(plan.cut, clearance_mm=0.2)
    assert cut_line(touching) == "two cuts, back right and back left, right beside detail"
    far = dataclasses.replace(plan.cut, clearance_mm=float("inf"))
    assert cut_line(far).endswith("no detail near")


def test_tipping(plan: Plan) -> None:
    words = tip_words(plan.rubber_pour, "rubber")
    assert "your left side goes down by 15°" in words
    assert "90° clockwise" in words
    assert "looking down into the cup" in words
    words = tip_words(plan.resin_pour, "resin")
    assert "your back left side (the piece's back right) goes down by 20°" in words
    assert "looking into the mouth" in words
    same = dataclasses.replace(plan.resin_pour, best=plan.resin_pour.level)
    assert not worth_tipping(same)
    assert tip_words(same, "resin").startswith("Nothing to gain")
    assert prop_mm(30.0, 60.0) == pytest.approx(30.0)


def test_left_and_right_change_over_for_the_knife(plan: Plan) -> None:
    line = plan.cut.lines[0]  # mouth down: 9 mm on the left, at x = +14; 11.5 on the right
    left, right = clearance_words(line, plan.stand)
    assert left.startswith("11.5 mm to detail")
    assert right.startswith("9 mm to detail")
    alone = dataclasses.replace(line, closest_left_mm=None, clearance_left_mm=float("inf"))
    assert clearance_words(alone, plan.stand)[1] == "no detail near"


def test_scale_readings_follow_the_scale(plan: Plan) -> None:
    assert mix_words(plan.rubber_mix, 1.0) == "hardener to 27 g, then rubber to 297 g"
    assert mix_words(plan.rubber_mix, 0.01) == "hardener to 27.00 g, then rubber to 297.00 g"


def test_us_spelling() -> None:
    """Pairs from memory; common dictionaries give the same."""
    text = "The mould's colour is grey; MOULD, Mould, moulds. Centre it. Mouldy Harbour stays."
    assert american(text) == (
        "The mold's color is gray; MOLD, Mold, molds. Center it. Mouldy Harbour stays."
    )
    assert american("Follow the licence; sulphur and vapour.") == (
        "Follow the license; sulfur and vapor."
    )


def test_which_side_of_a_seam_is_never_scraped() -> None:
    plan = fake_plan()
    line = plan.cut.lines[0]  # 9 mm to detail on its left, 11.5 on its right, mouth down
    (said,) = scrape_words(line, plan.stand)
    assert said.startswith("from the right only, never on the left: 9 mm to detail")
    turned = dataclasses.replace(line, clearance_left_mm=20.0)
    assert scrape_words(turned, plan.stand)[0].startswith("from the left only, never on the right")
    tight = dataclasses.replace(line, clearance_left_mm=1.0, clearance_right_mm=2.0)
    assert "never beside it on either side: 1 mm" in scrape_words(tight, plan.stand)[0]
    free = dataclasses.replace(
        line, clearance_left_mm=math.inf, clearance_right_mm=math.inf, closest_left_mm=None,
        closest_right_mm=None,
    )  # fmt: skip
    assert "from either side" in scrape_words(free, plan.stand)[0]
    # The seat of this plan is 12 mm above the cup's floor; heights are said above the base.
    known = dataclasses.replace(line, scrape=(
        ScrapeStretch(0.0, 20.0, 12.0, 32.0, "plain"),
        ScrapeStretch(20.0, 40.0, 32.0, 52.0, "left"),
        ScrapeStretch(40.0, 45.0, 52.0, 57.0, "both"),
    ))  # fmt: skip
    assert scrape_words(known, plan.stand) == (
        "0 mm to 20 mm up: from either side, whichever stands high",
        "20 mm to 40 mm up: from the right only, never on the left",
        "40 mm to 45 mm up: neither side; fill the low side, draw the texture across it",
    )


@pytest.mark.parametrize(
    ("weight", "words"),
    [(0.0, "plain skin"), (0.25, "plain skin"), (0.26, "soft detail"), (0.53, "clear detail"),
     (0.76, "the finest on the piece"), (1.0, "the finest on the piece")],
)  # fmt: skip
def test_detail_has_a_grade_in_words(weight: float, words: str) -> None:
    assert detail_grade(weight) == words


@pytest.mark.parametrize("weight", [-0.1, 1.1, math.nan])
def test_a_detail_beyond_its_scale_is_refused(weight: float) -> None:
    with pytest.raises(ValueError, match="0 to 1"):
        detail_grade(weight)
