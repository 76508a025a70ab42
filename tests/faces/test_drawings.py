"""Views from four sides: what is left and right, up and down, and how large."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.drawings import QUARTERS, Side, block, frame, ghosts, standing_view
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_each_side_is_seen_as_a_bystander_sees_it() -> None:
    """Worked out with a block in the hands: +x is the piece's right, -y its front."""
    right = (5.0, 0.0, 0.0)
    front = (0.0, -5.0, 0.0)
    # standing, from the front: the piece's right is on the right
    assert Side(0, False).on_paper(right)[0, 0] == 5.0
    # standing, from its left side: the front is on the right (you look along +x)
    assert Side(270, False).on_paper(front)[0, 0] == 5.0
    # turned over with the front toward you: the piece's right is on your left
    assert Side(0, True).on_paper(right)[0, 0] == -5.0
    # a quarter turn clockwise (+x) with the mouth up: the front is on the right
    assert Side(90, True).on_paper(front)[0, 0] == 5.0
    assert Side(180, True).on_paper(right)[0, 0] == 5.0
    assert Side(270, True).on_paper(front)[0, 0] == -5.0


def test_up_the_paper() -> None:
    high = (0.0, 0.0, 60.0)
    for quarter in QUARTERS:
        assert Side(quarter, False).on_paper(high)[0, 1] == -60.0  # paper y runs down
        assert Side(quarter, True).on_paper(high)[0, 1] == 60.0
        for over in (False, True):
            view = Side(quarter, over)
            hand = np.cross(view.right, view.up)
            assert hand == pytest.approx(view.toward)  # no mirror image


def test_the_ghost_lies_on_the_points_of_the_piece(plan: Plan) -> None:
    outlines = ghosts(plan)
    points = plan.stand.cavity.surface.vertices
    for quarter in QUARTERS:
        for over in (False, True):
            view = Side(quarter, over)
            seen = np.vstack(outlines.seen(view))
            paper = view.on_paper(points)
            assert seen.min(axis=0) == pytest.approx(paper.min(axis=0), abs=0.06)
            assert seen.max(axis=0) == pytest.approx(paper.max(axis=0), abs=0.06)


def test_the_cup_has_its_taper_and_the_mouth_its_end(plan: Plan) -> None:
    left, right, top, bottom = frame(plan, Side(0, True))
    box = plan.container
    wide = box.floor_width_mm + (box.rim_width_mm - box.floor_width_mm) * (
        box.fill_height_mm / box.height_mm
    )
    assert right - left == pytest.approx(wide)
    assert (top, bottom) == (0.0, box.fill_height_mm)


def test_standing_view_fits_its_room(plan: Plan) -> None:
    outlines = ghosts(plan)
    view = standing_view(plan, outlines, high_mm=110.0, wide_mm=60.0)
    assert view.paper_size[0] <= 60.0 + 1e-9
    assert view.paper_size[1] <= 110.0 + 1e-9
    ET.fromstring(view.svg())
    ET.fromstring(f"<g>{block(plan, outlines, Side(90, True))}</g>")
