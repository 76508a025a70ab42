"""A workshop followed day by day."""

from __future__ import annotations

import datetime
import math

from hypothesis import given, settings
from hypothesis import strategies as st

from partline.workshop.run import WEEK, Terms
from partline.workshop.run_days import Bench, follow


def terms(life: int = 20, per_day: int = 10, at_once: int = 1, making: float = 1.0,
          airing: float = 1.0, shop: int = 0, start: datetime.date | None = None,
          week: tuple[str, ...] = WEEK) -> Terms:  # fmt: skip
    return Terms(0.85, life, per_day, 1, at_once, shop, 1, making, airing, start, week, ())


CASES = {
    "pulls": st.integers(1, 300), "life": st.integers(1, 40), "per_day": st.integers(1, 20),
    "at_once": st.integers(1, 4), "making": st.sampled_from([0.25, 0.5, 1.0, 1.5, 3.0]),
    "airing": st.sampled_from([0.0, 0.5, 1.0, 3.0]), "shop": st.sampled_from([0, 3, 12]),
    "week": st.sets(st.sampled_from(WEEK), min_size=1).map(lambda s: tuple(sorted(s))),
}  # fmt: skip


@settings(deadline=None, max_examples=80)
@given(**CASES)
def test_more_moulds_never_take_longer(
    pulls: int, life: int, per_day: int, at_once: int, making: float, airing: float, shop: int,
    week: tuple[str, ...],
) -> None:  # fmt: skip
    blocks = math.ceil(pulls / life)
    start = datetime.date(2027, 3, 3)
    taken = [
        follow(terms(life, per_day, at_once + k, making, airing, shop, start, week), pulls,
               blocks + k)
        for k in range(4)
    ]  # fmt: skip
    assert taken == sorted(taken, reverse=True)


@settings(deadline=None, max_examples=80)
@given(**CASES)
def test_no_limit_is_broken_on_any_day(
    pulls: int, life: int, per_day: int, at_once: int, making: float, airing: float, shop: int,
    week: tuple[str, ...],
) -> None:  # fmt: skip
    start = datetime.date(2027, 3, 3)
    asked = terms(life, per_day, at_once, making, airing, shop, start, week)
    cast: dict[int, dict[int, int]] = {}
    cut: dict[int, int] = {}
    poured: dict[int, int] = {}

    def note(day: int, kind: str, block: int, n: int) -> None:
        assert WEEK[(start + datetime.timedelta(days=day)).weekday()] in week
        if kind == "cast":
            cast.setdefault(day, {})[block] = n
        else:
            (cut if kind == "cut" else poured)[block] = day

    last = follow(asked, pulls, math.ceil(pulls / life), note)
    assert max(cast) == last
    assert sum(sum(d.values()) for d in cast.values()) == pulls
    for day, blocks in cast.items():
        assert max(blocks.values()) <= per_day
        assert len(blocks) <= at_once
        assert not shop or sum(blocks.values()) <= shop
        assert all(day >= cut[b] + math.floor(airing) for b in blocks)
    for block in cut:
        assert cut[block] >= poured[block] + math.floor(making)
        assert sum(d.get(block, 0) for d in cast.values()) <= life
        assert block == 0 or poured[block] >= cut[block - 1]


def test_what_rests_between_is_waited_for() -> None:
    slow = Terms(1.0, 20, 1, 3, 1, 0, 1, 1.0, 0.0, None, WEEK, ())
    assert follow(slow, 3, 1) == 7  # cut on day 1, cast on 1, 4, 7
    shop = Terms(1.0, 20, 5, 1, 2, 1, 2, 1.0, 0.0, None, WEEK, ())
    assert follow(shop, 3, 2) == 5  # on 1, 3, 5


def test_working_days_are_counted() -> None:
    bench = Bench(terms(start=datetime.date(2027, 3, 5), week=WEEK[:5]))  # a Friday
    assert [bench.works(k) for k in range(4)] == [True, False, False, True]
    assert bench.days(3) == 2
    assert bench.working(1.5) == 3.0
