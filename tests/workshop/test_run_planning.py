"""Runs: castings, blocks, days."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.run_planning import plan_run


@pytest.mark.parametrize(
    ("good", "share", "life", "pulls", "blocks"),
    # ceil(N / y) castings, ceil(that / life) moulds: common practice, arithmetic.
    [(100, 0.92, 30, 109, 4), (50, 0.9, 25, 56, 3), (24, 0.85, 20, 29, 2), (17, 0.85, 20, 20, 1)],
)
def test_worked_figures(good: int, share: float, life: int, pulls: int, blocks: int) -> None:
    found = plan_run(good, yield_share=share, life=life)
    assert (found.pulls, found.blocks) == (pulls, blocks)


def test_days_by_hand() -> None:
    """29 castings at 10 a day from block one, ready on day 3 (made 1, aired 1): days 3, 4, 5."""
    assert plan_run(24).days == 5
    # life 20: 20 on days 3 and 4; block two has been ready since day 4 and gives 9 on day 5
    assert plan_run(24, days_to_make_block=2).days == 6  # from day 4, the second ready on day 6
    assert plan_run(1, days_to_make_block=1, air_out_days=0).days == 2
    assert plan_run(24, blocks_at_once=2).days == 4  # 10 on day 3, 10 + 9 on day 4


def test_the_bottleneck_is_what_saves_most_days_when_eased() -> None:
    assert plan_run(400, life=1000, yield_share=1.0).bottleneck == "castings a day"
    assert plan_run(3, life=1, pulls_per_day=50, days_to_make_block=5).bottleneck in (
        "making the blocks", "life of a block"
    )  # fmt: skip


def test_more_blocks_meet_a_date_or_it_is_said_that_none_do() -> None:
    plain, hurried = plan_run(100), plan_run(100, days_wanted=9)
    assert hurried.days <= 9 < plain.days
    assert hurried.blocks >= plain.blocks
    with pytest.raises(WorkshopError, match="cannot do it in less than"):
        plan_run(100, days_wanted=2)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 300), st.floats(0.3, 1.0), st.integers(1, 40), st.integers(1, 20),
       st.integers(1, 4))  # fmt: skip
def test_enough_and_no_more(good: int, share: float, life: int, daily: int, at_once: int) -> None:
    found = plan_run(good, yield_share=share, life=life, pulls_per_day=daily,
                     blocks_at_once=at_once)  # fmt: skip
    assert found.pulls * share >= good - 1e-6
    assert (found.pulls - 1) * share < good
    assert (found.blocks - 1) * life < found.pulls <= found.blocks * life
    assert (found.days - 2) * daily * at_once >= found.pulls
    slower = plan_run(good, yield_share=share, life=life, pulls_per_day=daily)
    assert slower.days >= found.days


@pytest.mark.parametrize(
    "wrong",
    [{"good": 0}, {"good": -3}, {"good": 2.5}, {"yield_share": 0.0}, {"yield_share": 1.2},
     {"life": 0}, {"pulls_per_day": 0}, {"blocks_at_once": 0}, {"days_to_make_block": 0.0}],
)  # fmt: skip
def test_what_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(
        WorkshopError, match=next(iter(wrong)).replace("days_to_make_block", "made")
    ):
        plan_run(**{"good": 24, **wrong})  # type: ignore[arg-type]


def test_a_run_no_hand_can_make_is_refused_at_once() -> None:
    with pytest.raises(WorkshopError, match="no run by hand"):
        plan_run(1_000_000, yield_share=0.01)
    assert plan_run(100_000, yield_share=1.0, life=1, pulls_per_day=1).days == 100_002
