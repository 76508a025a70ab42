"""Everything about a run of one job, with and without a log."""

from __future__ import annotations

import dataclasses
import datetime
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from production_cases import PLAN, job, production

from partline.job import MaterialPart, RunPart
from partline.job_run import RatesPart
from partline.workshop.log import Log, Pull
from partline.workshop.materials import defaults
from partline.workshop.mixing import mix
from partline.workshop.production import Making, plan_production

DAY = datetime.date(2027, 3, 2)


def log_of(*pulls: Pull) -> Log:
    return Log("peg-log.txt", "hut peg", pulls, ())


def test_what_is_stated_wins_over_what_is_usual() -> None:
    usual, said = production(run=RunPart(good=24)), production(
        run=RunPart(good=24, yield_share=0.5, life=60)
    )  # fmt: skip
    assert (usual.yield_from, usual.run.pulls) == ("default", 29)
    assert (said.yield_from, said.run.pulls, said.run.blocks) == ("job", 48, 1)


def test_the_log_replaces_yield_shrinkage_voids_and_pigment() -> None:
    pulls = [Pull(k, DAY, 1, k != 3, (1,), 61.38, 2.0) for k in range(4)]
    found = production(log_of(*pulls), run=RunPart(good=24, yield_share=0.5))
    assert (found.yield_from, found.run.pulls) == ("log", 32)
    assert found.size.percent == pytest.approx(1.0)
    assert (found.minutes.voids, found.minutes.voids_seen) == (1.0, True)
    assert (found.good_so_far, found.pulls_so_far, found.pulls_to_go) == (3, 4, 28)
    fewest, most = found.pulls_range
    assert fewest <= 32 <= most
    pigment = next(item for item in found.order if item.name == "pigment")
    assert pigment.order_g == pytest.approx(32 * 0.02 * PLAN.resin.mix_g * 1.05)


def test_no_good_pull_yet_leaves_the_yield_as_it_was() -> None:
    found = production(log_of(Pull(4, DAY, 1, False)), run=RunPart(good=24))
    assert (found.yield_from, found.run.pulls) == ("default", 29)


def test_a_run_that_is_done_needs_no_more_pulls() -> None:
    found = production(log_of(*(Pull(k, DAY, 1, True) for k in range(5))), run=RunPart(good=4))
    assert found.pulls_to_go == 0


def test_a_length_other_than_the_height_may_be_measured() -> None:
    pull = Pull(4, DAY, 1, True, length_mm=19.8)
    found = production(log_of(pull), run=RunPart(measured_on_master_mm=20.0))
    assert found.size.percent == pytest.approx(1.0)
    assert found.size.casting_mm == pytest.approx(62 * 0.99)


def test_a_slow_resin_gives_one_casting_a_day() -> None:
    quick = production(run=RunPart(good=10))
    slow = production(run=RunPart(good=10), resin=MaterialPart(kind="epoxy resin"))
    assert quick.run.limits[0].pulls_a_day == 10
    assert slow.run.limits[0].pulls_a_day == 0.5
    assert slow.run.days > quick.run.days


def test_rubber_that_needs_no_airing_is_ready_sooner() -> None:
    tin = production(run=RunPart(good=5))
    other = production(run=RunPart(good=5), rubber=MaterialPart(kind="addition silicone"))
    assert (tin.run.days, other.run.days) == (3, 2)
    waits = production(run=RunPart(good=5, air_out_min=3 * 1440.0))
    assert waits.run.days == 5


def test_more_voids_are_more_minutes_and_more_money() -> None:
    rates = RatesPart(labour_per_h=30.0)
    few = production(voids=0, rates=rates)
    many = production(voids=6, rates=rates)
    each = 6 * defaults().value("finish.void_min")
    assert many.minutes.each_min - few.minutes.each_min == pytest.approx(each)
    assert many.cost.each - few.cost.each == pytest.approx(each / 2)


def test_the_cut_and_its_alternatives_by_minutes_of_the_whole_run() -> None:
    found = production(run=RunPart(good=24))
    assert len(found.cuts) == 1 + len(PLAN.cut.alternatives)
    assert found.cuts[0].chosen
    assert found.cuts[0].run_min == pytest.approx(24 * found.minutes.each_min)


def test_two_ways_with_one_cut_are_told_apart_by_their_side() -> None:
    line = PLAN.cut.lines[0]
    ways = tuple(
        dataclasses.replace(PLAN.cut, count=1, lines=(dataclasses.replace(line, side=side),))
        for side in ("back", "left")
    )
    cut = dataclasses.replace(PLAN.cut, count=0, lines=(), alternatives=ways)
    making = Making(62.0, 2, True, cut, PLAN.container, PLAN.resin, PLAN.rubber_mix)
    named = [one.name for one in plan_production(job(), defaults(), making).cuts]
    assert named == ["no cut", "one cut, back", "one cut, left"]


def test_one_mix_fills_so_many_moulds() -> None:
    """floor((pot life x 0.6 - mixing) / filling); common practice, no source: 1 or 2 at 3 min."""
    assert production().fills_per_mix in (1, 2)
    slow = production(resin=MaterialPart(kind="opaque polyurethane resin", pot_life_min=20.0))
    assert slow.fills_per_mix == 36


def test_what_is_ordered_is_what_is_mixed_and_some_to_spare() -> None:
    found = production(run=RunPart(good=24))
    resin = next(item for item in found.order if item.name == "resin")
    assert resin.order_g == pytest.approx(29 * PLAN.resin.mix_g * 1.05)
    rubber = next(item for item in found.order if item.name == "rubber")
    assert dict(rubber.parts)["hardener"] == pytest.approx(
        rubber.order_g * mix(297.0, {"hardener": 1, "rubber": 10}).grams[0] / 297.0
    )
