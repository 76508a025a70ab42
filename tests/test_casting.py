"""A casting from a mould that is already there."""

from __future__ import annotations

import dataclasses

import pytest

from partline.casting import plan_casting
from partline.errors import WorkshopError
from partline.job import ShopPart, load_job
from partline.samples import sample


def test_only_a_volume() -> None:
    job = load_job(sample("pull.toml"))
    made = plan_casting(job, volume_mm3=100e3)
    assert made.stand is None
    assert made.pour is None
    assert made.resin.casting_g == pytest.approx(105.0)
    assert made.resin.mix_g == pytest.approx(105.0 * 1.08)
    assert made.bench.batch.enough
    for wrong in (0.0, -1.0, float("nan")):
        with pytest.raises(WorkshopError, match="volume is"):
            plan_casting(job, volume_mm3=wrong)


def test_a_whole_plan_and_a_casting_agree_on_grams() -> None:
    from partline.plan import read_scan, stand_up
    from partline.progress import silent
    from partline.workshop.materials import defaults

    job = load_job(sample("pull.toml"))
    made = plan_casting(job)
    stand = stand_up(job, read_scan(job, silent), defaults(), silent)
    assert made.resin.casting_g == pytest.approx(stand.cavity.volume_mm3 / 1000 * 1.05)
    assert made.pour is not None
    assert made.bench.timing.steps[2][0] == "moves"


def test_a_pot_below_the_wanted_pressure_is_refused() -> None:
    job = load_job(sample("pull.toml"))
    shop = ShopPart(pressure_pot_rating_kpa=300.0, pressure_kpa=500.0)
    with pytest.raises(WorkshopError, match="pressure_pot_rating"):
        plan_casting(job.model_copy(update={"shop": shop}), volume_mm3=1e5)
    allowed = ShopPart(pressure_pot_rating_kpa=700.0, pressure_kpa=500.0, room_celsius=23.0)
    made = plan_casting(job.model_copy(update={"shop": allowed}), volume_mm3=36e3)
    assert made.bench.pressing.gauge_kpa == pytest.approx(500.0 - 101.325)
    assert made.bench.timing.steps[-1][0] == "into the pot"
    assert made.bench.timing.verdict == "go"
    assert dataclasses.is_dataclass(made)
