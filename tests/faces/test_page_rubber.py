"""The rubber's page and the resin's: time, batch and pressure stand where they are needed."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.faces.page_resin import resin_page
from partline.faces.page_rubber import rubber_page
from partline.faces.page_stand import stand_page
from partline.faces.resin_moves import moves
from partline.plan import Plan
from partline.workshop.bench import bench_of
from partline.workshop.materials import defaults


def with_bench(plan: Plan, **materials: Any) -> Plan:
    """Return the plan with what stands beside the grams, materials changed as stated."""
    job = plan.job
    for name, changes in materials.items():
        part = getattr(job, name).model_copy(update=changes)
        job = job.model_copy(update={name: part})
    bench = bench_of(job, defaults(None), plan.stand, plan.cut, plan.container, plan.resin)
    return dataclasses.replace(plan, job=job, bench=bench)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_time_is_said_before_mixing(plan: Plan) -> None:
    room = {"shop": {"room_celsius": 23.0}}
    slow = said(rubber_page(desk(with_bench(plan, rubber={"pot_life_min": 60.0}, **room))))
    assert "There is time. " in slow
    fast = said(rubber_page(desk(with_bench(plan, rubber={"pot_life_min": 5.0}, **room))))
    assert fast.count("Not enough time: do not mix yet") == 1
    assert fast.index("do not mix yet") < fast.index("the scale then reads")
    unknown = said(rubber_page(desk(with_bench(plan, rubber={"pot_life_min": None}))))
    assert "Is there time? " in unknown
    for page in (slow, fast, unknown):
        assert page.index("time") < page.index("Brush a thin coat")


def test_too_little_time_for_the_resin_stands_above_its_table(plan: Plan) -> None:
    room = {"shop": {"room_celsius": 23.0}}
    fast = said(resin_page(desk(with_bench(plan, resin={"pot_life_min": 0.5}, **room))))
    assert fast.count("Not enough time: do not mix yet") == 1
    assert fast.index("do not mix yet") < fast.index("the scale then reads")
    slow = said(resin_page(desk(with_bench(plan, resin={"pot_life_min": 300.0}, **room))))
    assert "do not mix yet" not in slow


def test_short_of_rubber_is_answered_after_the_pour(plan: Plan) -> None:
    page = said(rubber_page(desk(with_bench(plan))))
    assert page.index("below the rim") < page.index("Short of rubber")
    assert "Short of rubber" not in said(rubber_page(desk(plan)))


def test_fixing_says_how_hard_it_floats(plan: Plan) -> None:
    page = said(stand_page(desk(with_bench(plan, stand={"master_density": 0.5}))))
    # Archimedes: (1.18 - 0.5) g/cm3 x volume x 9.80665 m/s2
    force = 0.68e-6 * plan.stand.cavity.volume_mm3 * 9.80665
    assert f"It floats up with {force:.2g} N" in page


def test_pressure_comes_from_the_pots_own_plate(plan: Plan) -> None:
    # 60 psi gauge at sea level = 515.01 kPa absolute (NIST SP 811; standard atmosphere)
    pot = with_bench(plan, shop={"pressure_pot_rating_kpa": 515.0105})
    page = said(resin_page(desk(pot)))
    assert "your pot’s plate says 4.1 bar (60 psi) on the gauge" in page
    assert "never above it" in page
    assert "none is planned" in said(resin_page(desk(with_bench(plan))))


def test_a_small_batch_is_warned_of_once(plan: Plan) -> None:
    page = said(resin_page(desk(with_bench(plan))))
    assert page.count("cures badly") == 0
    assert page.count("less than the 100 g") == 1


def test_moves_are_the_tip_and_the_top_up(plan: Plan) -> None:
    fill, top = moves(plan)
    assert (fill.azimuth_deg, fill.tilt_deg, top.azimuth_deg) == (135.0, 20.0, None)


def test_that_it_leans_is_said_before_anything_is_poured(plan: Plan) -> None:
    told = "It stands 12° off a flat base: write up = [0.1, -0.2, 0.9] under [scan]."
    stand = dataclasses.replace(plan.stand, warnings=(told,))
    assert told in said(stand_page(desk(dataclasses.replace(plan, stand=stand))))
