"""The view and the workbench: what is shown and what has been said, without any window."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_plan import fake_job, fake_plan

from partline.errors import JobError
from partline.faces.poses import axis_name, direction, tipped
from partline.faces.sizing import faces_near, front_toward
from partline.faces.view import LAYERS, STAGES, View
from partline.faces.workbench import Workbench, job_of
from partline.job import Measured, ScanPart


@pytest.fixture
def bench() -> Workbench:
    found = Workbench()
    found.opened(Path("knob.ply"), fake_plan().master)
    return found


def test_layers_go_on_and_off_and_the_old_view_stays():
    view = View()
    with_air = view.switched("air", True)
    assert with_air.shows("air")
    assert not view.shows("air")
    assert with_air.switched("air", False) == view
    with pytest.raises(ValueError, match=LAYERS[0]):
        view.switched("gold leaf", True)


def test_another_pour_forgets_what_was_pointed_out():
    view = View(selected=3).poured("resin")
    assert (view.pour, view.selected) == ("resin", None)


def test_questions_come_in_the_order_of_the_bench(bench):
    assert Workbench().question() == "scan"
    assert bench.question() == "height"
    bench.change(height_mm=62.0)
    assert bench.question() == "front"
    bench.change(front_said=True)
    assert bench.question() == "mouth"
    bench.change(mouth_said=True)
    for question in ("cups", "rubber", "resin", "ratings", "number"):
        assert bench.question() == question
        bench.change(asked=bench.asked[1:])
    assert bench.question() == ""


def test_listeners_hear_each_change_once_and_a_new_height_makes_the_plan_stale(bench):
    heard = []
    bench.listen(lambda: heard.append(bench.height_mm))
    bench.change(height_mm=50.0, front_said=True, mouth_said=True, asked=())
    bench.change(plan=fake_plan(), planned=job_of(bench))
    bench.change(view=View().switched("air", True))
    assert bench.plan is not None
    assert not bench.stale()
    bench.change(height_mm=40.0)
    assert bench.plan is not None
    assert bench.stale() == set(STAGES)
    assert heard == [50.0, 50.0, 50.0, 40.0]
    with pytest.raises(AttributeError, match="heigth"):
        bench.change(heigth=1)


def test_the_mesh_is_shown_at_its_finished_height_standing_on_the_floor(bench):
    bench.change(height_mm=124.0)
    low, high = bench.shown_surface().bounds
    assert high[2] - low[2] == pytest.approx(124.0)
    assert low[2] == pytest.approx(0.0)
    assert low[:2] == pytest.approx(-high[:2])


@pytest.mark.parametrize("up", ["+x", "-x", "+y", "-y", "+z", "-z"])
def test_every_pose_is_a_turn_and_never_a_mirror(bench, up):
    for front in ("+x", "-x", "+y", "-y", "+z", "-z"):
        bench.change(up=up, front=front)
        if up[1] == front[1]:
            with pytest.raises(JobError, match="same way"):
                bench.turn()
            continue
        turn = bench.turn()
        assert np.allclose(turn @ turn.T, np.eye(3))
        assert np.linalg.det(turn) == pytest.approx(1.0)
        axes = {"x": 0, "y": 1, "z": 2}
        for name, goes_to in ((up, [0, 0, 1]), (front, [0, -1, 0])):
            vector = np.zeros(3)
            vector[axes[name[1]]] = 1.0 if name[0] == "+" else -1.0
            assert np.allclose(turn @ vector, goes_to)


@pytest.mark.parametrize("way", ["over", "round"])
def test_four_quarter_tips_bring_it_back(way):
    pose = ("+z", "-y")
    seen = []
    for _ in range(4):
        pose = tipped(*pose, way)
        seen.append(pose)
    assert len(set(seen)) == 4
    assert pose == ("+z", "-y")


def test_laying_it_on_its_front_brings_the_back_up():
    assert tipped("+z", "-y", "over") == ("+y", "+z")


def test_pointing_at_a_side_makes_it_the_front(bench):
    surface = bench.master.surface
    right = int(np.argmax(surface.face_normals @ [1.0, 0.1, 0.2]))
    found = direction(front_toward(bench, bench.pointed_at(right)))
    assert found @ [1.0, 0.0, 0.0] > np.cos(np.radians(12.0))
    # The very top looks up and says nothing, but it never becomes a front along up.
    top = int(np.argmax(surface.face_normals @ [0.0, 0.0, 1.0]))
    front = front_toward(bench, bench.pointed_at(top))
    assert abs(direction(front)[2]) < 1e-9
    assert axis_name(np.array([0.1, 0.2, -3.0]), square_to="+z") == "+y"


def test_the_job_says_what_was_said_and_keeps_the_rest_of_the_job_file(bench):
    with pytest.raises(JobError, match="tall"):
        job_of(bench)
    base = fake_job()
    bench.opened(Path("knob.ply"), bench.master, base=base)
    assert bench.question() == ""
    bench.change(height_mm=62.0, front="+x", mouth=bench.pointed_at(10))
    job = job_of(bench)
    assert (job.scan.height_mm, job.scan.front, job.stand.mouth.at) == (62.0, "+x", "point")
    assert job.stand.mouth.point == pytest.approx(tuple(bench.mouth.point))
    assert job.rubber == base.rubber
    assert job.run.good == 24


@pytest.mark.parametrize(
    ("size", "height"),
    [
        ({"height_mm": 62.0}, 62.0),
        ({"units": "cm"}, 500.0),
        ({"measured": Measured(start=(0, 0, 0), stop=(0, 3, 4), length_mm=10.0)}, 100.0),
    ],
)
def test_a_job_file_sizes_the_scan_however_it_says_it(bench, size, height):
    """50 file units tall: stated, in centimetres, or by two points 5 units and 10 mm apart."""
    base = fake_job().model_copy(update={"scan": ScanPart(file=Path("knob.ply"), **size)})
    bench.opened(Path("knob.ply"), bench.master, base=base)
    assert bench.height_mm == pytest.approx(height)
    assert bench.question() == ""


def test_the_mouth_goes_back_to_the_file_s_own_coordinates(bench):
    master = bench.master
    pose = np.diag([2.0, 2.0, 2.0, 1.0])
    pose[:3, 3] = (5.0, 6.0, 7.0)
    moved = type(master)(master.surface, 1.0, 1.0, master.file_faces, pose, (), (), "k", "0", "")
    bench.opened(Path("knob.ply"), moved)
    bench.change(height_mm=50.0, mouth=bench.pointed_at(3))
    point = np.array(job_of(bench).stand.mouth.point)
    assert moved.from_file(point)[0] == pytest.approx(bench.mouth.point, abs=1e-5)


def test_a_picked_patch_is_round_and_looks_one_way(bench):
    surface = bench.master.surface
    patch = faces_near(surface, 100, within_mm=4.0)
    assert 100 in patch
    middles = surface.vertices[surface.faces[patch]].mean(axis=1)
    assert np.linalg.norm(middles - middles[list(patch).index(100)], axis=1).max() <= 4.0
    assert list(faces_near(surface, 100, within_mm=0.0)) == [100]


def test_the_view_knows_no_toolkit():
    code = (
        "import sys, partline.faces.view; print([m for m in sys.modules if m[:3] in "
        "('vtk', 'qtp') or m.split('.')[0] in ('pyvista', 'PySide6')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_stage_shows_what_it_is_about():
    view = replace(View(), tip=(90.0, 10.0), choice=1, knife_mm=30.0)
    assert view.entered("air", planned=True).shows("air")
    assert not view.entered("pour", planned=True).shows("air")
    cut = view.entered("cut", planned=True)
    assert cut.shows("zones")
    assert (cut.choice, cut.knife_mm) == (1, 30.0)
    assert view.entered("weigh", planned=True).choice is None
    after = view.entered("after", planned=True)
    assert (after.pour, after.tip, after.shows("air")) == ("resin", None, True)
    assert view.entered("after", planned=False).pour == "rubber"
