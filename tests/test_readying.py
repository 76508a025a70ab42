"""What is got ready for a pour, on the hand-built plan and in a job file."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent / "faces"))
from fake_plan import fake_plan
from readied import readied

from partline.errors import JobError
from partline.job import read_job, starter_job, write_job
from partline.planfile import open_plan, summary, write_plan
from partline.readying import detail_on, mouth_face, resin_ready, stays_in
from partline.workshop.bench import bench_of
from partline.workshop.materials import defaults

KNOWN = defaults(None)


def ready(**vents: object):
    plan = fake_plan()
    job = plan.job.model_copy(update={"vents": plan.job.vents.model_copy(update=vents)})
    bench = bench_of(job, KNOWN, plan.stand, plan.cut, plan.container, plan.resin)
    pour = resin_ready(job, plan.stand, plan.detail, plan.cut, plan.container, plan.resin_pour,
                       bench.cast.timing, KNOWN)  # fmt: skip
    return dataclasses.replace(plan, job=job, bench=bench, resin_pour=pour)


def test_the_knobs_rim_is_vented_beside_the_mouth() -> None:
    """The wavy rim hangs down all round: turned over it has three crests that hold air."""
    from partline.air.pockets import trapped_air

    plan = fake_plan()
    level = trapped_air(plan.stand.cavity, (0, 0, -1))
    pour = dataclasses.replace(plan.resin_pour, level=level)
    bench = bench_of(plan.job, KNOWN, plan.stand, plan.cut, plan.container, plan.resin)
    found = resin_ready(plan.job, plan.stand, plan.detail, plan.cut, plan.container, pour,
                        bench.cast.timing, KNOWN)  # fmt: skip
    assert found.vents.before_mm3 == pytest.approx(sum(p.volume_mm3 for p in level.pockets))
    assert found.vents.after_mm3 <= found.vents.largest_mm3
    # One pocket all round, and a crest of the wave three times: each its own vent.
    assert len(level.pockets) == 1
    assert len(found.vents.vents) == 3
    assert found.vents.vents[1].saves_mm3 == pytest.approx(found.vents.vents[2].saves_mm3)
    for vent in found.vents.vents:
        assert np.hypot(*vent.place[:2]) > 17.0
        assert np.hypot(*(vent.exit[:2] - plan.container.centre_mm)) < (
            plan.container.floor_width_mm / 2
        )
        assert vent.exit[2] == pytest.approx(0.0, abs=1e-9)
    assert found.rise.height_mm == pytest.approx(plan.stand.cavity.surface.extents[2])


def test_none_are_planned_where_none_are_wanted() -> None:
    assert ready(wanted=False).resin_pour.vents is None
    assert ready(wanted=True, largest_air_mm3=1e5).resin_pour.vents.vents == ()


def test_the_mouth_face_is_that_of_the_container() -> None:
    box = fake_plan().container
    ring = mouth_face(box)
    assert np.allclose(np.hypot(*(ring - box.centre_mm).T), box.floor_width_mm / 2)
    square = dataclasses.replace(box, kind="box", floor_depth_mm=40.0, turn_deg=30.0)
    assert np.ptp(np.linalg.norm(np.diff(mouth_face(square), axis=0), axis=1)) > 1.0


def test_what_stays_is_read_off_what_was_planned_last() -> None:
    plan = readied()
    level, cavity = plan.resin_pour.level, plan.stand.cavity
    assert stays_in(level, plan.resin_pour, cavity) == (90.0,)
    level_only = dataclasses.replace(plan.resin_pour, rocking=None)
    assert stays_in(level, level_only, cavity) == (level.pockets[0].volume_mm3,)


def test_detail_lies_on_the_piece_and_not_on_the_foot() -> None:
    plan = fake_plan()
    weights = detail_on(plan.stand.cavity, plan.stand, plan.detail)
    z = plan.stand.cavity.surface.vertices[:, 2]
    assert weights.max() == pytest.approx(plan.detail.weight.max())
    assert (weights[z < plan.stand.seat_mm - 0.5] == 0.0).all()


def test_a_plan_with_all_of_it_is_kept_and_named(tmp_path: Path) -> None:
    plan = readied()
    named = summary(plan)["resin_pour"]
    assert named["vents"]["vents"][0]["length_mm"] == 38.0
    assert named["vents"]["unvented"][0]["why"] == "no straight way"
    assert len(named["brush_first"]) == 2
    assert named["cut_passes"][0]["cut"] == 2
    assert named["small_bubble"]["in_time"] is True
    write_plan(plan, tmp_path / "plan")
    again = open_plan(tmp_path / "plan")
    assert summary(again) == summary(plan)
    assert np.array_equal(again.resin_pour.vents.vents[0].exit, [18.0, -3.0, 0.0])


def test_a_plan_from_before_there_were_vents_opens(tmp_path: Path) -> None:
    import json

    write_plan(fake_plan(), tmp_path / "plan")
    file = tmp_path / "plan" / "plan.json"
    kept = json.loads(file.read_text(encoding="utf-8"))
    for name in ("rubber_pour", "resin_pour"):
        for key in ("vents", "brush_first", "cut_air", "rise"):
            del kept["whole"][name][key]
    kept["whole"]["job"]["all"].pop("vents")
    file.write_text(json.dumps(kept), encoding="utf-8")
    assert open_plan(tmp_path / "plan").resin_pour.vents is None


JOB = """name = "peg"
[scan]
file = "peg.stl"
height = "62 mm"
[vents]
"""


def test_the_job_file_says_how_much_may_stay_and_how_wide(tmp_path: Path) -> None:
    def read(lines: str):
        return read_job(JOB + lines, tmp_path, check_files=False)

    job = read('largest_air = "0.02 mL"\ndiameter = "1/16 in"\nwanted = true\n')
    assert job.vents.largest_air_mm3 == pytest.approx(20.0)
    assert job.vents.diameter_mm == pytest.approx(25.4 / 16)
    assert read_job(write_job(job), tmp_path, check_files=False).vents == job.vents
    for lines, words in (
        ("diameter = 2\n", "diameter"),
        ('diameter = "-2 mm"\n', "cannot be meant"),
        ('largest_air = "3 mm"\n', "largest_air"),
        ('wide = "3 mm"\n', "wide"),
    ):
        with pytest.raises(JobError, match=words):
            read(lines)


def test_a_new_job_file_has_the_keys_to_fill_in() -> None:
    text = starter_job("peg.stl")
    assert "[vents]" in text
    assert "# largest_air" in text
    assert "# diameter" in text
