"""Cuts of real figures: alternatives that differ, zones laid on them, and what is proved."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from partline.cut.alternatives import SHARED, cut_rows
from partline.cut.planning import plan_cut as whole_plan_cut
from partline.detail.relief import detail_map
from partline.faces.standing import proposed
from partline.scan.reading import read_master
from partline.stand.placing import place

FOLDER = os.environ.get("PARTLINE_SCANS")
pytestmark = [
    pytest.mark.scans,
    pytest.mark.skipif(not FOLDER, reason="PARTLINE_SCANS names no folder of real scans"),
]
plan_cut = partial(whole_plan_cut, prove=False)


@pytest.fixture(scope="module")
def figure():
    path = Path(FOLDER or "") / "dancing_girl.stl"
    if not path.exists():
        pytest.skip("dancing_girl.stl is not in PARTLINE_SCANS")
    stand = place(read_master(path, height_mm=100.0, up="+y", front="+z"))
    return stand, detail_map(stand.piece)


@pytest.fixture(scope="module")
def cut(figure):
    return whole_plan_cut(*figure)


def zone(kind, *, point=None, radius_mm=None, faces=()):
    return SimpleNamespace(kind=kind, point=point, radius_mm=radius_mm, faces=faces)


def halfway(line):
    return line.points[len(line.points) // 2]


def in_file(stand, place_mm):
    """Return a place on the piece in the coordinates of the file."""
    back = np.linalg.inv(stand.master.to_pose)
    lowered = np.asarray(place_mm) - (0.0, 0.0, stand.lift_mm)
    return tuple((back[:3, :3] @ lowered + back[:3, 3]).tolist())


def test_a_standing_figure_is_cut_once_up_its_back(cut) -> None:
    (line,) = cut.lines
    assert line.side == "back"
    assert line.share_on_show < 0.05
    assert line.worst_detail <= 0.25
    assert 0 < cut.gap < 0.12


def test_at_least_three_ways_to_cut_it_truly_differ(cut) -> None:
    rows = [row for row in cut_rows(cut) if row.count]
    assert len(rows) >= 3
    assert all(row.shared < SHARED for row in rows)
    assert sum("over the floor" in row.name for row in rows) == 1


def test_faces_of_the_file_to_stay_off_are_stayed_off(figure, cut) -> None:
    stand, detail = figure
    middle = halfway(cut.lines[0])
    corners = stand.piece.vertices[stand.piece.faces]
    own = np.flatnonzero(np.linalg.norm(corners.mean(axis=1) - middle, axis=1) < 5.0)
    source = stand.piece_faces[own]
    faces = tuple(stand.master.file_faces[source[source >= 0]].tolist())
    moved = plan_cut(stand, detail, cuts=1, zones=[zone("stay off", faces=faces)])
    assert np.linalg.norm(moved.lines[0].points - middle, axis=1).min() > 3.0
    assert moved.cost > cut.cost


def test_a_place_to_pass_through_is_passed_through(figure, cut) -> None:
    stand, detail = figure
    # Beside the line, on the same skin.
    aside = halfway(cut.lines[0]) + np.array([6.0, 0.0, 0.0])
    near = stand.piece.vertices[np.argmin(np.linalg.norm(stand.piece.vertices - aside, axis=1))]
    place_ = zone("pass through", point=in_file(stand, near), radius_mm=1.5)
    through = plan_cut(stand, detail, cuts=1, zones=[place_])
    assert np.linalg.norm(through.lines[0].points - near, axis=1).min() <= 1.5 + 1e-6
    invited = plan_cut(
        stand, detail, cuts=1, zones=[zone("go here", point=place_.point, radius_mm=6.0)]
    )
    assert invited.cost <= cut.cost


@pytest.mark.slow
@pytest.mark.parametrize("up", [None, (-0.00028, 0.99996, -0.00902)], ids=["level", "on two feet"])
def test_a_beast_on_its_feet_is_cut_left_and_right(up) -> None:
    """Level it stands on all four; half a degree off it stands on the front two alone."""
    path = Path(FOLDER or "") / "koala.obj"
    if not path.exists():
        pytest.skip("koala.obj is not in PARTLINE_SCANS")
    pose = proposed(path)
    stand = place(read_master(path, height_mm=100.0, up=up or pose.up, front=pose.front))
    assert stand.feet == (2 if up else 4)
    cut = plan_cut(stand, detail_map(stand.piece))
    assert [line.side for line in cut.lines] == ["left", "right"]
    left, right = cut.lines
    assert left.points[:, 0].max() < 0 < right.points[:, 0].min()
    assert max(line.worst_detail for line in cut.lines) <= 0.25
    assert max(line.share_on_show for line in cut.lines) < 0.15
    assert sum("may stray" in words for words in cut.words) == (2 if up else 0)
