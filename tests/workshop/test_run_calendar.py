"""The calendar of a run."""

from __future__ import annotations

import datetime

import pytest

from partline.errors import WorkshopError
from partline.workshop.run import Run
from partline.workshop.run_calendar import calendar
from partline.workshop.run_planning import plan_run


def test_days_without_a_start_are_only_numbered() -> None:
    days = calendar(plan_run(24))
    assert [d.number for d in days] == [1, 2, 3, 4, 5]
    assert all(d.date is None for d in days)
    assert sum(n for d in days for _, n in d.castings) == 29


def test_a_run_that_does_not_say_its_terms() -> None:
    with pytest.raises(WorkshopError, match="plan it again"):
        calendar(Run(24, 29, 2, 5, "life of a block"))


def test_past_the_end_of_the_calendar() -> None:
    with pytest.raises(WorkshopError, match="after the year 9999"):
        plan_run(24, start=datetime.date(9999, 12, 30))
