"""Mouths side by side: said in full, marked where they lie, and taken into the job."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.mouth_choices import Compared, filled_at, mouth_lines, place_of_mouth
from partline.faces.scene import actors
from partline.faces.view import View
from partline.faces.workbench import in_file
from partline.job import MouthPart, read_job, write_job
from partline.mouths import MouthRow

PLAN = fake_plan()
BASE = MouthRow("at the base", MouthPart(), 80.0, 310.0, 80.0, 120.0, 2, 88.0, 9.0, 0.22,
                12.0, 113.0, 0.05, places=3)  # fmt: skip
SPOT = PLAN.stand.piece.vertices[-1]
TOP = MouthRow("on top", MouthPart(at="point", point=in_file(
    PLAN.master, SPOT - np.array([0, 0, PLAN.stand.lift_mm]))), 5.0, 0.0, 5.0, 0.0, 0, 0.0,
    np.inf, 0.0, 0.0, 80.0, 0.6)  # fmt: skip
NOT = replace(TOP, name="on the left", refused="The piece has no room for a foot there.")


def test_each_mouth_says_its_air_its_cut_and_its_scar() -> None:
    base, top, refused = mouth_lines((BASE, TOP, NOT), "mm")
    assert base.startswith(
        "1. At the base: air in the resin 310 mm³ in 3 places (120 mm³ filled "
        "tipped), in the rubber 80 mm³; "
    )
    assert "2 cuts, 88 mm, 9 mm clear of detail; 12 min of clean-up; stretch 22 %" in base
    assert "a scar of 1.1 cm² on plain skin" in base
    assert "no cut" in top
    assert "on clear detail" in top
    assert refused == "3. On the left: will not do. The piece has no room for a foot there."
    assert "in," in mouth_lines((BASE,), "inches")[0]


def test_a_mouth_is_marked_where_it_lies() -> None:
    assert place_of_mouth(PLAN, BASE) is None
    place = place_of_mouth(PLAN, TOP)
    assert place is not None
    np.testing.assert_allclose(place, SPOT, atol=1e-5)
    x, y, z = (float(v) for v in place)
    shown = {a.name: a for a in actors(PLAN, View(mouth=(x, y, z)))}
    np.testing.assert_allclose(shown["other mouth"].vertices.mean(axis=0), SPOT, atol=0.1)
    assert "other mouth" not in {a.name for a in actors(PLAN, View())}
    assert View(mouth=(x, y, z)).entered("air", planned=True).mouth is None


def test_a_taken_mouth_stands_in_the_job_file_and_the_comparison_still_holds() -> None:
    job = filled_at(PLAN.job, TOP)
    back = read_job(write_job(job), Path(), check_files=False)
    assert back.stand.mouth == TOP.mouth
    found = Compared(PLAN.job, (BASE, TOP))
    assert found.holds(job)
    assert filled_at(job, BASE).stand.mouth == PLAN.job.stand.mouth
    taller = job.model_copy(update={"scan": job.scan.model_copy(update={"height_mm": 70.0})})
    assert not found.holds(taller)


def test_grades_beyond_one_by_rounding_are_still_said() -> None:
    assert "cm² on" in mouth_lines((replace(BASE, scar_detail=1.0 + 1e-12),), "mm")[0]
