"""What the log teaches."""

from __future__ import annotations

import datetime

import pytest

from partline.errors import WorkshopError
from partline.workshop.learning import (
    learned,
    mean_bounds,
    predicted_and_seen,
    yield_bounds,
)
from partline.workshop.log import Log, Pull

DAY = datetime.date(2027, 3, 2)


def log_of(*pulls: Pull) -> Log:
    return Log("peg-log.txt", "hut peg", pulls, ())


def pull(good: bool = True, mould: int = 1, **more: object) -> Pull:
    return Pull(4, DAY, mould, good, **more)  # type: ignore[arg-type]


def test_nothing_is_learned_from_nothing() -> None:
    assert learned(log_of(), life=20) is None


def test_a_yield_of_nought_is_no_yield_to_plan_with() -> None:
    found = learned(log_of(pull(False), pull(False)), life=20)
    assert found is not None
    assert (found.pulls, found.good, found.yield_share, found.yield_low) == (2, 0, None, 0.0)


def test_shrinkage_is_the_mean_and_odd_lengths_are_named() -> None:
    pulls = (pull(length_mm=99.0), pull(length_mm=99.4), Pull(9, DAY, 1, True, length_mm=50.0))
    found = learned(log_of(*pulls), life=20, master_mm=100.0)
    assert found is not None
    assert found.shrinkage_percent == pytest.approx(0.8)
    assert found.lengths == 2
    assert found.odd_lines == (9,)
    none = learned(log_of(*pulls), life=20)
    assert none is not None
    assert none.shrinkage_percent is None


def test_voids_count_only_where_someone_looked() -> None:
    pulls = (pull(voids=(1, 2)), pull(voids=()), pull())
    found = learned(log_of(*pulls), life=20)
    assert found is not None
    assert (found.looked, found.voids_each) == (2, 1.0)


def test_a_mould_nears_its_end_at_a_fifth_of_its_life() -> None:
    pulls = [pull(k % 2 == 0) for k in range(16)] + [pull(mould=2)]
    found = learned(log_of(*pulls), life=20, near_end_share=0.2)
    assert found is not None
    one, two = found.moulds
    assert (one.number, one.pulls, one.good, one.left, one.near_end) == (1, 16, 8, 4, True)
    assert (one.recent, one.recent_bad) == (5, 3)
    assert (two.left, two.near_end) == (19, False)
    fewer = learned(log_of(*pulls[1:]), life=20, near_end_share=0.2)
    assert fewer is not None
    assert not fewer.moulds[0].near_end


def test_predicted_and_seen_place_by_place() -> None:
    pulls = (pull(voids=(1, 9)), pull(voids=(1,), places="aa"), pull(voids=(2,), places="old"),
             pull())  # fmt: skip
    records, earlier = predicted_and_seen(log_of(*pulls), {1: True, 2: False}, places="aa")
    assert earlier == 1
    assert [(r.number, r.holds, r.looked, r.seen) for r in records] == [
        (1, True, 2, 2), (2, False, 2, 0), (9, None, 2, 1)
    ]  # fmt: skip


def test_bounds_close_in_and_cannot_be_of_nothing() -> None:
    few, many = yield_bounds(17, 20), yield_bounds(170, 200)
    assert few[0] < many[0] < 0.85 < many[1] < few[1]
    for good, pulls in ((3, 2), (-1, 2), (0, 0)):
        with pytest.raises(WorkshopError, match="cannot be"):
            yield_bounds(good, pulls)
    assert mean_bounds([]) == (None, 0.0, 0.0)
    assert mean_bounds([0.5]) == (0.5, 0.5, 0.5)
