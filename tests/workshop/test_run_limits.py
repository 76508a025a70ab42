"""Cycle, pot and hands as limits of a day, and the bottleneck by name."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.run_planning import plan_run


def limits(**more: float) -> dict[str, float]:
    run = plan_run(400, life=1000, yield_share=1.0, **more)  # type: ignore[arg-type]
    return {limit.name: limit.pulls_a_day for limit in run.limits}


def test_a_cycle_fills_the_day() -> None:
    """480 min of 45 and of 30 are 10 and 16: arithmetic."""
    assert limits(cycle_min=45.0)["castings a day"] == 10
    assert limits(cycle_min=30.0)["castings a day"] == 16
    assert limits(cycle_min=30.0, pulls_per_day=12)["castings a day"] == 12
    assert limits(cycle_min=30.0, day_min=240.0)["castings a day"] == 8


def test_what_is_longer_than_a_day_cures_overnight() -> None:
    assert limits(cycle_min=600.0)["castings a day"] == 1
    assert limits(cycle_min=1440.0)["castings a day"] == 1
    assert limits(cycle_min=1500.0)["castings a day"] == 0.5


def test_the_pot_holds_so_many_a_load() -> None:
    assert limits(pot_holds=2, pot_min=60.0)["pressure pot"] == 16
    run = plan_run(400, life=1000, yield_share=1.0, blocks_at_once=4, pot_holds=1, pot_min=60.0)
    assert run.bottleneck == "pressure pot"
    assert run.limits[0].name == "pressure pot"


def test_hands_and_more_hands() -> None:
    assert limits(hands=1, hands_min=60.0)["hands"] == 8
    assert limits(hands=2, hands_min=60.0)["hands"] == 16
    assert limits(hands=1, hands_min=960.0)["hands"] == 0.5
    one = plan_run(100, life=200, hands=1, hands_min=60.0)
    two = plan_run(100, life=200, hands=2, hands_min=60.0)
    assert one.bottleneck == "hands"
    assert two.days < one.days


def test_two_limits_that_bind_together_are_named_by_the_tightest() -> None:
    run = plan_run(400, life=1000, pulls_per_day=10, hands=1, hands_min=48.0)
    assert run.bottleneck in ("hands", "castings a day")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"hands": 1}, "hands needs hands_min"),
        ({"pot_holds": 1}, "pot_holds needs pot_min"),
        ({"cycle_min": 0.0}, "cycle_min is 0"),
        ({"day_min": 2000.0}, "a day has 1440"),
        ({"working_days": ()}, "working_days"),
        ({"working_days": ("monday",)}, "working_days"),
        ({"hands": 0, "hands_min": 5.0}, "hands is 0"),
        ({"yield_share": float("nan")}, "yield_share"),
    ],
)
def test_what_cannot_be(wrong: dict[str, object], words: str) -> None:
    with pytest.raises(WorkshopError, match=words):
        plan_run(24, **wrong)  # type: ignore[arg-type]
