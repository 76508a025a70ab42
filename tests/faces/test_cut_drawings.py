"""The cut on the four views: near and far, marks where they belong, the web kept."""

from __future__ import annotations

import dataclasses
import re
import sys
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.cut.cut import OverFloor, RubberLoop
from partline.faces.colours import CUT
from partline.faces.cut_drawings import cut_views
from partline.faces.drawings import ghosts
from partline.faces.figures import System
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def strokes(svg: str) -> list[ET.Element]:
    return [e for e in ET.fromstring(svg).iter() if e.get("stroke") == CUT]


def test_near_is_whole_and_far_is_dashed(plan: Plan) -> None:
    """Both cuts of the fake plan lie at the back (145 and 215 degrees)."""
    front, _, back, _ = (d.svg() for d in cut_views(plan, ghosts(plan)))
    assert len(strokes(front)) == len(strokes(back)) == 2
    assert all(e.get("stroke-dasharray") for e in strokes(front))
    assert not any(e.get("stroke-dasharray") for e in strokes(back))


def test_lines_keep_their_length_on_paper(plan: Plan) -> None:
    """Seen at right angles a drawing of true size may shorten a line but never lengthen it."""
    for drawing in cut_views(plan, ghosts(plan)):
        assert drawing.scale == 1.0
        for stroke in strokes(drawing.svg()):
            numbers = [float(v) for v in re.findall(r"-?\d+\.\d+", str(stroke.get("d")))]
            ys = numbers[1::2]
            assert min(ys) >= -0.01  # the mouth face
            assert max(ys) == pytest.approx(53.0, abs=0.01)  # the end of the line, mouth up


def test_three_marks_and_the_web_are_said(plan: Plan) -> None:
    svg = cut_views(plan, ghosts(plan))[2].svg()
    words = [e.text for e in ET.fromstring(svg).iter() if e.text]
    for said in ("try here", "38 mm", "likely", "53 mm", "never past", "58 mm", "do not cut"):
        assert said in words
    hatched = next(e for e in ET.fromstring(svg).iter() if "url(#web" in str(e.get("fill")))
    assert float(str(hatched.get("y"))) == pytest.approx(58.0)
    assert float(str(hatched.get("height"))) == pytest.approx(plan.container.fill_height_mm - 58.0)


def test_marks_of_cuts_that_differ_are_told_apart(plan: Plan) -> None:
    first, second = plan.cut.lines
    deeper = dataclasses.replace(second, marks=dataclasses.replace(second.marks, try_here_mm=40.0))
    cut = dataclasses.replace(plan.cut, lines=(first, deeper))
    svg = cut_views(dataclasses.replace(plan, cut=cut), ghosts(plan))[0].svg()
    assert "try here (cut 1)" in svg
    assert "try here (cut 2)" in svg
    assert "never past<" in svg


def test_no_cut_no_web(plan: Plan) -> None:
    none = dataclasses.replace(plan, cut=dataclasses.replace(plan.cut, lines=(), count=0))
    svg = cut_views(none, ghosts(plan))[0].svg()
    assert "do not cut" not in svg
    assert not strokes(svg)


@pytest.mark.parametrize("system", ["mm", "inches", "both"])
def test_depths_are_not_cut_off(plan: Plan, system: System) -> None:
    """Bold text takes about 0.6 of its size a letter (DejaVu Sans Bold, measured)."""
    first, second = plan.cut.lines
    marks = dataclasses.replace(second.marks, try_here_mm=40.3, likely_mm=54.6)
    cut = dataclasses.replace(plan.cut, lines=(first, dataclasses.replace(second, marks=marks)))
    for lines in (plan, dataclasses.replace(plan, cut=cut)):
        for drawing in cut_views(lines, ghosts(plan), system):
            edge = drawing.left + drawing.width
            for e in ET.fromstring(drawing.svg()).iter():
                if e.text and e.get("text-anchor") == "start":
                    wide = 0.62 * float(str(e.get("font-size"))) * len(e.text)
                    assert float(str(e.get("x"))) + wide <= edge, e.text


def test_bridges_to_slit_are_numbered_at_their_holes(plan: Plan) -> None:
    place = (4.0, 3.0, 30.0)
    holes = tuple(RubberLoop(place, 20.0, 40.0, 5.0, True, 22.0, 0, 1.0) for _ in range(3))
    other = dataclasses.replace(plan, cut=dataclasses.replace(plan.cut, loops=holes))
    for drawing in cut_views(other, ghosts(other)):
        root = ET.fromstring(drawing.svg())
        at = [float(str(e.get("y"))) for e in root.iter() if re.fullmatch(r"S\d", e.text or "")]
        assert len(at) == 3
        assert min(b - a for a, b in pairwise(sorted(at))) > 3.0
        dots = [e for e in root.iter() if e.get("r") == "0.70" or e.get("r") == "0.7"]
        assert {float(str(e.get("cy"))) for e in dots} == {-drawing.top - 6.0 + 30.0}


def test_a_cut_over_the_floor_hatches_the_hinge_instead(plan: Plan) -> None:
    """The hinge is at the front: before the piece from there, to one side from the sides."""
    over = OverFloor("front", (0.0, -1.0, 0.0), -2.0, 3.0, 9.0, web_mm=20.0)
    line = dataclasses.replace(plan.cut.lines[0], over=over)
    other = dataclasses.replace(plan, cut=dataclasses.replace(plan.cut, lines=(line,), count=1))
    front, right, back, left = (d.svg() for d in cut_views(other, ghosts(other)))
    assert "do not cut" not in back
    # Where to read how far it goes stands beside the block, and whole on its paper.
    for drawing in cut_views(other, ghosts(other)):
        for e in ET.fromstring(drawing.svg()).iter("{http://www.w3.org/2000/svg}text"):
            wide = 0.6 * float(str(e.get("font-size"))) * len(str(e.text))
            if e.get("text-anchor", "start") == "start":
                assert float(str(e.get("x"))) + wide <= drawing.left + drawing.width, e.text
    starts = []
    for svg in (front, right, left):
        hatch = next(e for e in ET.fromstring(svg).iter() if "url(#web" in str(e.get("fill")))
        x0, _, x1 = (float(v) for v in re.findall(r"-?\d+\.\d+", str(hatch.get("d")))[:3])
        starts.append((x0, x1))
        assert "try here" not in svg
    assert starts[0][1] - starts[0][0] > starts[1][1] - starts[1][0]
    assert 9.0 in (starts[1][0], -starts[1][1])
    assert {starts[1][0], starts[2][0]} & {9.0}
