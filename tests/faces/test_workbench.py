"""Undo and redo, stale stages, and a job file that brings the same bench back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.faces.view import View
from partline.faces.workbench import Workbench, job_of, look_of, seen_in
from partline.job import CutPart, RunPart, read_job, write_job


@pytest.fixture
def bench() -> Workbench:
    found = Workbench()
    found.opened(Path("knob.ply"), fake_plan().master)
    found.change(height_mm=62.0)
    found.change(front="+x", front_said=True)
    found.change(mouth_said=True, asked=())
    return found


def test_every_choice_is_undone_and_made_again(bench):
    said = job_of(bench)
    bench.change(base=bench.base.model_copy(update={"cut": CutPart(cuts=1)}))
    cut = job_of(bench)
    assert bench.undo()
    assert job_of(bench) == said
    assert bench.redo()
    assert job_of(bench) == cut
    while bench.undo():
        pass
    assert (bench.height_mm, bench.front, bench.front_said) == (None, "-y", False)
    assert bench.can_undo() == (False, True)
    while bench.redo():
        pass
    assert job_of(bench) == cut


def test_looking_is_no_choice_and_a_new_choice_ends_redo(bench):
    bench.undo()
    bench.change(view=View().switched("air", True))
    assert bench.can_undo()[1]
    bench.change(height_mm=40.0)
    assert not bench.can_undo()[1]
    bench.change(height_mm=40.0)
    bench.undo()
    assert bench.height_mm == 62.0


def test_a_plan_is_stale_from_the_stage_that_changed_and_fresh_again_by_undo(bench):
    plan = fake_plan()
    bench.change(plan=plan, planned=job_of(bench))
    assert bench.stale() == frozenset()
    bench.change(base=bench.base.model_copy(update={"cut": CutPart(cuts=1)}))
    assert bench.stale() == {"cut", "weigh", "pour", "after"}
    bench.undo()
    assert bench.stale() == frozenset()
    bench.change(base=bench.base.model_copy(update={"run": RunPart(good=2)}))
    assert bench.stale() == {"weigh", "pour", "after"}
    bench.undo()
    bench.change(height_mm=40.0)
    assert {"piece", "stand", "air"} <= bench.stale()
    bench.undo()
    assert bench.plan is plan
    assert bench.stale() == frozenset()


def test_a_job_brings_the_same_bench_and_look_back(bench):
    pick = bench.pointed_at(100)
    bench.change(mouth=pick, front=(0.6, -0.8, 0.0))
    view = View().switched("air", True).poured("resin").seen_from((0.1, 0.9, 0.2))
    job = job_of(bench).model_copy(update={"look": look_of(view, "air", "inches")})
    again = Workbench()
    again.opened(Path("knob.ply"), bench.master, base=job, job_path=Path("knob.toml"))
    assert again.view == view
    assert again.front == (0.6, -0.8, 0.0)
    assert again.mouth.point == pytest.approx(pick.point, abs=1e-6)
    assert again.question() == ""
    assert job_of(again).scan == job.scan
    assert np.allclose(again.turn(), bench.turn())


def test_all_that_is_looked_at_is_kept_in_the_job_file(bench):
    view = replace(View().opened((30.0, -0.25)).poured("resin").tipped((120.0, 14.5)),
                   choice=1, knife_mm=41.5, mouth=(1.0, 2.5, 40.0))  # fmt: skip
    for step in (None, 3):
        job = job_of(bench).model_copy(update={"look": look_of(view, "air", "mm", step=step)})
        back = read_job(write_job(job), Path(), check_files=False).look
        assert back == job.look
        assert back.step == step
        # A step of the pour says itself how the mould is tipped.
        assert seen_in(back) == (view if step is None else replace(view, tip=None))


def test_layers_that_are_not_known_are_left_out():
    look = look_of(View(), "cut", "mm").model_copy(update={"layers": ("gilding", "cut", "piece")})
    assert seen_in(look).layers == {"cut", "piece"}
