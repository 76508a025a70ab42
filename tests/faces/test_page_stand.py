"""The page on size says what a casting is, where it is not what the master is."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.faces.page_stand import stand_page
from partline.faces.words import first_lines, has_height, shrinkage_tag
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_a_deep_sink_is_a_step_at_the_bench_and_shortens_the_casting(plan: Plan) -> None:
    flat = said(stand_page(desk(plan)))
    assert "A casting is" not in flat
    stand = dataclasses.replace(plan.stand, sink_mm=5.0)
    sunk = said(stand_page(desk(dataclasses.replace(plan, stand=stand))))
    tall = f"{stand.top_mm - stand.seat_mm:g} mm"
    assert f"A casting is {tall} tall: the lowest 5 mm of the master" in sunk.replace(" | ", "")
    assert "of it must stand above the foot block." in sunk.replace(" | ", "")
    first = first_lines(dataclasses.replace(plan, stand=stand))[0]
    assert f"tall, {tall} of it cast · " in first
    assert "of it cast" not in first_lines(plan)[0]
    assert sunk.index("Trim ") < sunk.index("Seal a porous master")


def test_the_volume_is_an_interval_where_holes_were_filled(plan: Plan) -> None:
    open_ = dataclasses.replace(plan.master, volume_doubt_mm3=0.1 * plan.master.volume_mm3)
    assert "between" not in said(stand_page(desk(plan)))
    assert "between" in said(stand_page(desk(dataclasses.replace(plan, master=open_))))


def test_the_height_is_yours_only_where_the_master_has_it(plan: Plan) -> None:
    assert has_height(plan)
    scan = plan.job.scan.model_copy(update={"height_mm": plan.master.height_mm + 0.4})
    job = plan.job.model_copy(update={"scan": scan})
    assert not has_height(dataclasses.replace(plan, job=job))


def test_shrinkage_is_yours_where_both_figures_are(plan: Plan) -> None:
    assert shrinkage_tag(plan) == "default"
    own = {"linear_shrinkage_percent": 0.7}
    job = plan.job.model_copy(update={"resin": plan.job.resin.model_copy(update=own)})
    assert shrinkage_tag(dataclasses.replace(plan, job=job)) == "default"
    job = job.model_copy(update={"rubber": job.rubber.model_copy(update=own)})
    assert shrinkage_tag(dataclasses.replace(plan, job=job)) == "yours"
