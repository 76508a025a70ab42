"""Moving vents by hand: which one is taken, and what the job then says."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import RIM, fake_plan

from partline.air.vent import Vent, VentPlan
from partline.faces.painting import place_on_stand
from partline.faces.scene import actors
from partline.faces.vent_places import vent_hand_words, vent_moved, vent_under, vents_freed
from partline.faces.view import View
from partline.freshness import still_holding
from partline.job import ZonePart, read_job, write_job


def vented():
    """Return the knob's plan with two vents from under its rim to the mouth face."""
    plan = fake_plan()

    def vent(x: float) -> Vent:
        place = np.array([x, 0.0, RIM + 4.0])
        return Vent(place, 0, 0, np.array([0.0, 0.0, -1.0]), place * (1, 1, 0), RIM + 4.0, 0.0,
                    2.0, 0.0, 40.0)  # fmt: skip

    found = VentPlan((vent(14.0), vent(-14.0)), 90.0, 10.0, 5.0, (10.0,), True, 2, (), ())
    return replace(plan, resin_pour=replace(plan.resin_pour, vents=found))


PLAN = vented()


def test_a_vent_is_taken_anywhere_along_it_and_not_beside_it() -> None:
    along = np.array([0.0, 1.0, 0.0])
    for height in (2.0, 20.0, RIM + 3.0):
        eye = np.array([14.3, -200.0, height])
        assert vent_under(PLAN, eye, along, within_mm=1.5) == 0
        assert vent_under(PLAN, eye * (-1, 1, 1), along, within_mm=1.5) == 1
    assert vent_under(PLAN, np.array([5.0, -200.0, 20.0]), along, within_mm=1.5) is None
    assert vent_under(fake_plan(), np.array([14.0, -200.0, 20.0]), along, within_mm=9.0) is None


def test_a_moved_vent_and_those_that_stay_are_said_in_the_job_file() -> None:
    to = np.array([0.0, -15.0, RIM + 3.0])
    job = vent_moved(PLAN, PLAN.job, 1, to)
    back = read_job(write_job(job), Path(), check_files=False)
    assert back.vents.at == job.vents.at
    ends = [place_on_stand(PLAN, ZonePart(kind="stay off", point=p, radius_mm=1.0))
            for p in back.vents.at]  # fmt: skip
    np.testing.assert_allclose(ends, [PLAN.resin_pour.vents.vents[0].place, to], atol=1e-5)
    assert vents_freed(job).vents.at == ()
    # Only what is weighed and got ready is worked out again.
    assert {"stand", "air", "cut"} <= still_holding(PLAN.job, job)
    assert "weigh" not in still_holding(PLAN.job, job)


def test_words_and_picture_follow_the_hand() -> None:
    assert "drag a vent" in vent_hand_words(PLAN, PLAN.job)
    moved = vent_moved(PLAN, PLAN.job, 0, np.zeros(3))
    assert vent_hand_words(PLAN, moved).startswith("The vents are where you set them; 10 mm³")
    assert vent_hand_words(fake_plan(), PLAN.job) == ""
    view = View(pour="resin").switched("air", True)
    rods = {a.name: a for a in actors(PLAN, view)}
    held = {a.name: a for a in actors(PLAN, view, vent=(1, np.array([3.0, 15.0, 40.0])))}
    np.testing.assert_allclose(held["air vent 0"].vertices, rods["air vent 0"].vertices)
    assert np.abs(held["air vent 1"].vertices - rods["air vent 1"].vertices).max() > 10
    assert held["air vent 1"].vertices[0] == pytest.approx([-3.0, 15.0, 75.0 - 40.0])
