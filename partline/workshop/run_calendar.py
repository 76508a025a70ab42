"""A plain calendar of a run: which block is poured, cut, aired and cast in on which day."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.workshop.run import Run, Terms
from partline.workshop.run_days import Kind, follow


@dataclass(frozen=True)
class Day:
    """What is done on one day.

    Attributes
    ----------
    number : int
        From 1, days off counted too where the start is known.
    date : datetime.date or None
    pours, cuts : tuple of int
        Blocks that are poured, and cut open in the morning, counted from 1.
    castings : tuple of (int, int)
        Block and how many castings come from it.
    """

    number: int
    date: datetime.date | None
    pours: tuple[int, ...]
    cuts: tuple[int, ...]
    castings: tuple[tuple[int, int], ...]


def calendar(run: Run) -> tuple[Day, ...]:
    """Return every day of a run on which something is poured, cut or cast.

    Raises
    ------
    WorkshopError
        If the run does not say what it was planned with.
    """
    if run.terms is None:
        raise WorkshopError("This run does not say what it was planned with; plan it again.")
    done: dict[int, dict[Kind, list[tuple[int, int]]]] = {}

    def note(day: int, kind: Kind, block: int, castings: int) -> None:
        done.setdefault(day, {"pour": [], "cut": [], "cast": []})[kind].append(
            (block + 1, castings)
        )

    follow(run.terms, run.pulls, run.blocks, note)
    return tuple(
        Day(
            day + 1,
            date_of(run.terms, day),
            tuple(block for block, _ in done[day]["pour"]),
            tuple(block for block, _ in done[day]["cut"]),
            tuple(done[day]["cast"]),
        )
        for day in sorted(done)
    )


def date_of(terms: Terms, day: int) -> datetime.date | None:
    """Return the date of a day counted from 0, or None where the start is not known.

    Raises
    ------
    WorkshopError
        If it lies beyond the year 9999.
    """
    if terms.start is None:
        return None
    try:
        return terms.start + datetime.timedelta(days=day)
    except OverflowError:
        raise WorkshopError(
            f"Begun on {terms.start}, this run would end after the year 9999; is the start right?"
        ) from None
