"""The two discs: true size, mirrored against one another, cuts and notch on their sides."""

from __future__ import annotations

import dataclasses
import re
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.colours import CUT
from partline.faces.discs import at_mouth, mouth_disc, mouth_outlines, placing_disc
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def texts(svg: str) -> dict[str, tuple[float, float]]:
    return {
        str(e.text): (float(str(e.get("x"))), float(str(e.get("y"))))
        for e in ET.fromstring(svg).iter()
        if e.text
    }


def test_the_circle_is_the_floor(plan: Plan) -> None:
    for disc in (placing_disc(plan), mouth_disc(plan)):
        circle = next(e for e in ET.fromstring(disc.svg()).iter() if e.tag.endswith("circle"))
        assert float(str(circle.get("r"))) == plan.container.floor_width_mm / 2
        assert disc.scale == 1.0
        # the front is toward you: at the bottom of the paper in both
        assert texts(disc.svg())["FRONT"][1] > plan.container.floor_width_mm / 2


def test_the_discs_mirror_each_other(plan: Plan) -> None:
    lopsided = (np.array([[0.0, -3.0], [11.0, 0.0], [0.0, 3.0]]),)
    assert plan.stand.foot_block is not None
    foot = dataclasses.replace(plan.stand.foot_block, bottom=lopsided)
    other = dataclasses.replace(plan, stand=dataclasses.replace(plan.stand, foot_block=foot))
    assert "L11.00 0.00" in placing_disc(other).svg().replace("-0.00", "0.00")
    assert "L-11.00 0.00" in mouth_disc(other).svg().replace("-0.00", "0.00")


def test_cuts_run_outward_on_their_own_side(plan: Plan) -> None:
    """Cut 1 lies at the piece's back right (+x, +y). Looking into the mouth with the front at
    the bottom, the piece's right is on the left and its back at the top."""
    svg = mouth_disc(plan).svg()
    words = texts(svg)
    x, y = words["cut 1: 145°"]
    assert x < 0
    assert y < 0
    assert words["cut 2: 215°"][0] > 0
    line = next(e for e in ET.fromstring(svg).iter() if e.get("stroke") == CUT)
    x0, y0, x1, y1 = (float(v) for v in re.findall(r"-?\d+\.\d+", str(line.get("d"))))
    assert np.hypot(x1, y1) == pytest.approx(29.0, abs=0.02)  # the wall of the cup
    assert np.hypot(x0, y0) == pytest.approx(12.0, abs=0.05)  # the rim of the foot block


def test_the_notch_is_where_it_tips_down(plan: Plan) -> None:
    # 135 degrees: the piece's back right, so up and left on this disc
    x, y = texts(mouth_disc(plan).svg())["notch"]
    assert x < 0
    assert y < 0
    still = dataclasses.replace(plan.resin_pour, best=plan.resin_pour.level)
    assert "notch" not in mouth_disc(dataclasses.replace(plan, resin_pour=still)).svg()


def test_a_box_and_a_piece_off_the_middle(plan: Plan) -> None:
    box = dataclasses.replace(
        plan.container, kind="box", floor_width_mm=70.0, floor_depth_mm=50.0, centre_mm=(4.0, -3.0)
    )
    other = dataclasses.replace(plan, container=box)
    low, high = corners(other).min(axis=0), corners(other).max(axis=0)
    assert low == pytest.approx([-4.0 - 35.0, 3.0 - 25.0], abs=0.006)
    assert high == pytest.approx([-4.0 + 35.0, 3.0 + 25.0], abs=0.006)
    assert placing_disc(other).paper_size[1] == pytest.approx(50.0 + 18.0)


def test_on_a_large_box_the_words_of_cuts_keep_off_the_notch_and_the_cut(plan: Plan) -> None:
    """They stand inside the wall there, as there is no room beside it on the page."""
    box = dataclasses.replace(
        plan.container, kind="box", floor_width_mm=140.0, floor_depth_mm=70.0, centre_mm=(0.0, 0.0)
    )
    lines = tuple(
        dataclasses.replace(plan.cut.lines[0], azimuth_deg=a) for a in (128.0, 142.0, 200.0)
    )
    cut = dataclasses.replace(plan.cut, lines=lines)
    root = ET.fromstring(mouth_disc(dataclasses.replace(plan, container=box, cut=cut)).svg())
    boxes = {}
    for e in (e for e in root.iter() if e.text and (e.text == "notch" or "cut" in e.text)):
        wide = 0.6 * float(str(e.get("font-size"))) * len(str(e.text))
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[str(e.get("text-anchor"))]
        x, y = float(str(e.get("x"))) - share * wide, float(str(e.get("y")))
        boxes[e.text] = (x, x + wide, y - 2.4, y)
    notch = boxes.pop("notch")
    assert len(boxes) == 3
    for left, right, top, bottom in boxes.values():
        assert right < notch[0] or left > notch[1] or bottom < notch[2] or top > notch[3]
    strokes = [e for e in root.iter() if e.get("stroke") == CUT]
    for (left, right, top, bottom), e in zip(boxes.values(), strokes, strict=True):
        x0, y0, x1, y1 = (float(v) for v in re.findall(r"-?\d+\.\d+", str(e.get("d"))))
        along = (np.linspace(top, bottom, 5) - y0) / (y1 - y0)
        at = x0 + along * (x1 - x0)
        assert (at > right).all() or (at < left).all()


def test_a_box_that_is_turned_against_the_piece(plan: Plan) -> None:
    """Turned by 30 degrees, 70 x 50 takes 70 cos 30 + 50 sin 30 across (trigonometry)."""
    box = dataclasses.replace(
        plan.container, kind="box", floor_width_mm=70.0, floor_depth_mm=50.0,
        centre_mm=(0.0, 0.0), turn_deg=30.0,
    )  # fmt: skip
    other = dataclasses.replace(plan, container=box)
    found = corners(other)
    sides = np.linalg.norm(found - np.roll(found, -1, axis=0), axis=1)
    assert sorted(sides) == pytest.approx([50.0, 50.0, 70.0, 70.0], abs=0.02)
    wide = 70 * np.cos(np.pi / 6) + 50 * np.sin(np.pi / 6)
    assert np.ptp(found[:, 0]) == pytest.approx(wide, abs=0.02)
    first = found[np.argmax(sides)] - found[(np.argmax(sides) + 1) % 4]
    assert abs(first[1] / first[0]) == pytest.approx(np.tan(np.pi / 6), abs=1e-3)


def corners(plan: Plan) -> np.ndarray:
    """Corners of the floor on the mouth disc: its first outline."""
    first = next(e for e in ET.fromstring(mouth_disc(plan).svg()).iter() if e.tag.endswith("path"))
    numbers = re.findall(r"-?\d+\.?\d*", str(first.get("d")))
    return np.array(numbers, dtype=float).reshape(-1, 2)


def test_without_a_foot_block_the_piece_itself_is_the_mouth(plan: Plan) -> None:
    bare = dataclasses.replace(plan, stand=dataclasses.replace(plan.stand, foot_block=None))
    assert mouth_outlines(bare) is plan.stand.footprint
    start = at_mouth(bare, plan.cut.lines[0])
    assert np.hypot(start[0], start[1]) == pytest.approx(9.0, abs=0.02)
