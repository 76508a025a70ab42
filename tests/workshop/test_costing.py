"""Cost of a piece."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.job_run import RatesPart
from partline.workshop.costing import Amounts, cost
from partline.workshop.run_planning import pulls_for

RATES: dict[str, Any] = {
    "master": 240.0, "rubber_per_kg": 30.0, "resin_per_kg": 15.0, "pigment_per_kg": 50.0,
    "labour_per_h": 30.0, "block_labour_min": 60.0, "consumables": 0.5, "packing": 1.0,
}  # fmt: skip


def amounts(good: int = 24, blocks: int = 2, share: float = 0.8) -> Amounts:
    return Amounts(good, blocks, share, 300.0, 80.0, 1.0, 12.0, 10.0)


def test_nothing_is_assumed() -> None:
    found = cost(amounts(), RatesPart())
    assert (found.lines, found.each, found.price) == ((), 0.0, None)
    assert set(found.missing) == {
        "master", "rubber", "resin", "pigment", "labour", "block_labour", "consumables", "packing",
        "contingency", "overhead", "margin",
    }  # fmt: skip


def test_one_rate_gives_one_line() -> None:
    found = cost(amounts(), RatesPart(resin_per_kg=15.0))
    assert [(line.name, line.each) for line in found.lines] == [("resin", pytest.approx(1.5))]
    assert "resin" not in found.missing


def test_by_hand() -> None:
    """Master 10, rubber 0.75, moulds 2.5, resin 1.5, pigment 0.0625, consumables 0.625,
    casting 7.5, clean-up 5, packing 1: 28.9375; a tenth on it, a fifth on that, half is margin.
    """
    found = cost(amounts(), RatesPart(**RATES, contingency=0.1, overhead=0.2, margin=0.5))
    assert found.each == pytest.approx(28.9375 * 1.1 * 1.2)
    assert found.price == pytest.approx(2 * found.each)
    assert found.total == pytest.approx(24 * found.each)
    assert sum(line.each for line in found.lines) == pytest.approx(found.each)
    assert found.missing == ()


@settings(deadline=None)
@given(st.integers(1, 500), st.floats(0.3, 1.0), st.integers(1, 60))
def test_a_piece_costs_less_with_more_pieces_until_a_new_mould_is_needed(
    good: int, share: float, life: int
) -> None:
    def blocks(n: int) -> int:
        return -(-pulls_for(n, share) // life)

    rates = RatesPart(**RATES)
    here = cost(amounts(good, blocks(good), share), rates).each
    more = cost(amounts(good + 1, blocks(good + 1), share), rates).each
    if blocks(good + 1) == blocks(good):
        assert more < here
    else:
        saved = cost(amounts(good + 1, blocks(good), share), rates).each
        assert saved < here
        assert saved < more
