"""Runs against worked figures, a calendar made by hand, and general libraries.

Sources beside each check. The worked figures of casts and moulds, ceil(N / y) and
ceil(casts / life), and the scale factors k = 1 / ((1 - s1)(1 - s2)) are common practice and
arithmetic, no published source.
"""

from __future__ import annotations

import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from partline.workshop.learning import mean_bounds, yield_bounds
from partline.workshop.run import WEEK
from partline.workshop.run_calendar import calendar
from partline.workshop.run_days import Bench
from partline.workshop.run_planning import plan_run
from partline.workshop.shrinkage import scale_factor


@pytest.mark.parametrize(
    ("good", "share", "life", "casts", "moulds"),
    [(100, 0.92, 30, 109, 4), (50, 0.90, 25, 56, 3), (24, 0.85, 20, 29, 2)],
)
def test_casts_and_moulds(good: int, share: float, life: int, casts: int, moulds: int) -> None:
    """Common practice, no source: worked with pencil and paper."""
    run = plan_run(good, yield_share=share, life=life)
    assert (run.pulls, run.blocks) == (casts, moulds)


@pytest.mark.parametrize(
    ("percents", "factor"),
    [((0.1, 0.3), 1.00401), ((0.3, 0.5), 1.00805), ((0.5, 0.5), 1.01008), ((1.0, 1.0), 1.0203)],
)
def test_scale_factors(percents: tuple[float, float], factor: float) -> None:
    """Worked with pencil and paper to the digits shown, no source."""
    assert scale_factor(percents) == pytest.approx(factor, abs=6e-6 if factor < 1.02 else 6e-5)


def test_two_generations_compound() -> None:
    """A copy of a copy: 0.1 and 0.3 % twice over, worked by hand, 1.00401 squared."""
    assert scale_factor((0.1, 0.3), 2) == pytest.approx(1.00804, abs=1.5e-5)


def test_a_three_day_run_by_hand() -> None:
    """14 good at 70 % are 20 castings from one mould that needs no airing, 10 a day. By hand:

    Mon 1 March: pour. Tue 2: cut, 10 castings. Wed 3: 10 castings.
    """
    run = plan_run(14, yield_share=0.7, life=20, pulls_per_day=10, air_out_days=0,
                   start=datetime.date(2027, 3, 1))  # fmt: skip
    assert (run.pulls, run.blocks, run.days, run.finish) == (20, 1, 3, datetime.date(2027, 3, 3))
    assert [(d.date, d.pours, d.cuts, d.castings) for d in calendar(run)] == [
        (datetime.date(2027, 3, 1), (1,), (), ()),
        (datetime.date(2027, 3, 2), (), (1,), ((1, 10),)),
        (datetime.date(2027, 3, 3), (), (), ((1, 10),)),
    ]


def test_a_run_over_a_weekend_and_a_holiday_by_hand() -> None:
    """Begun on Thursday 4 March, Monday 8 off; a mould takes a day and airs a day.

    Thu: pour 1. Fri: cut 1, pour 2. Sat, Sun, Mon off: 1 airs, 2 cures. Tue 9: cut 2, 5 from
    mould 1. Wed 10: mould 1 is worn (5), 5 from mould 2, aired since Tuesday.
    """
    off = [datetime.date(2027, 3, 8)]
    run = plan_run(10, yield_share=1.0, life=5, pulls_per_day=5,
                   start=datetime.date(2027, 3, 4), days_off=off)  # fmt: skip
    assert [(d.date.day, d.pours, d.cuts, d.castings) for d in calendar(run) if d.date] == [
        (4, (1,), (), ()),
        (5, (2,), (1,), ()),
        (9, (), (2,), ((1, 5),)),
        (10, (), (), ((2, 5),)),
    ]
    assert run.days == 4


@settings(deadline=None, max_examples=50)
@given(
    st.dates(datetime.date(1990, 1, 1), datetime.date(2090, 1, 1)),
    st.sets(st.sampled_from(WEEK), min_size=1),
    st.sets(st.integers(0, 60), max_size=6),
    st.integers(0, 60),
)
def test_working_days_as_numpy_counts_them(
    start: datetime.date, week: set[str], off: set[int], last: int
) -> None:
    """General reference library: numpy's business days."""
    days_off = [start + datetime.timedelta(days=k) for k in off]
    run = plan_run(1, start=start, working_days=tuple(week), days_off=days_off)
    assert run.terms is not None
    mask = [day in week for day in WEEK]
    end = start + datetime.timedelta(days=last + 1)
    assert Bench(run.terms).days(last) == np.busday_count(
        start, end, weekmask=mask, holidays=days_off
    )
    first = np.busday_offset(start, 0, roll="forward", weekmask=mask, holidays=days_off)
    assert calendar(run)[0].date == first.astype(datetime.date)


@pytest.mark.parametrize(("good", "pulls"), [(1, 3), (2, 3), (5, 8), (17, 20), (40, 41)])
def test_yield_bounds_are_where_the_tails_are_a_fortieth(good: int, pulls: int) -> None:
    """Definition of Clopper and Pearson (1934), Biometrika 26: 2.5 % in each tail; scipy."""
    low, high = yield_bounds(good, pulls)
    assert stats.binom.sf(good - 1, pulls, low) == pytest.approx(0.025, rel=1e-6)
    assert stats.binom.cdf(good, pulls, high) == pytest.approx(0.025, rel=1e-6)
    assert low == pytest.approx(stats.beta.ppf(0.025, good, pulls - good + 1), rel=1e-9)


@pytest.mark.parametrize("pulls", [1, 2, 3, 10])
def test_all_good_or_none_good_has_a_closed_form(pulls: int) -> None:
    """Clopper and Pearson (1934): the other bound is the n-th root of 0.025."""
    assert yield_bounds(pulls, pulls) == (pytest.approx(0.025 ** (1 / pulls)), 1.0)
    assert yield_bounds(0, pulls) == (0.0, pytest.approx(1 - 0.025 ** (1 / pulls)))


def test_a_mean_of_three_measured_castings() -> None:
    """Student's t with two degrees of freedom is 4.303 at 95 % (any table of t, from memory)."""
    mean, low, high = mean_bounds([0.5, 0.7, 0.9])
    assert mean == pytest.approx(0.7)
    assert high - 0.7 == pytest.approx(4.303 * 0.2 / 3**0.5, rel=1e-4)
    assert (low, high) == pytest.approx(
        stats.t.interval(0.95, 2, loc=0.7, scale=stats.sem([0.5, 0.7, 0.9]))
    )
