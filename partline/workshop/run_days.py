"""Follow a workshop day by day: blocks poured, cut and aired, castings made until enough."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

from partline.workshop.run import WEEK, Terms

Kind = Literal["pour", "cut", "cast"]
Note = Callable[[int, Kind, int, int], None]


class Bench:
    """The working days of a run, and when each block is poured, cut and ready.

    One master makes one block after another: the next is poured as soon as the one before has
    been cut. Rubber cures and airs on days off too; pouring, cutting and casting wait for a
    working day. Days are counted from 0, the start.
    """

    def __init__(self, terms: Terms) -> None:
        self.making, self.airing = terms.making_days, terms.airing_days
        self.start = None if terms.start is None else terms.start.toordinal()
        self.week = frozenset(WEEK.index(day) for day in terms.working_days)
        self.off = frozenset(day.toordinal() for day in terms.days_off)
        self.pours: list[float] = []
        self.cuts: list[float] = []

    def works(self, day: int) -> bool:
        """Tell whether that day is worked on."""
        if self.start is None:
            return True
        ordinal = self.start + day
        return (ordinal + 6) % 7 in self.week and ordinal not in self.off

    def working(self, when: float) -> float:
        """Return that moment [days], or the next working morning if it falls on a day off."""
        day = math.floor(when + 1e-9)
        if self.works(day):
            return when
        while not self.works(day):
            day += 1
        return float(day)

    def ready(self, block: int) -> int:
        """Return the first working day on which a block, counted from 0, can be cast in."""
        while len(self.cuts) <= block:
            self.pours.append(self.cuts[-1] if self.cuts else self.working(0.0))
            self.cuts.append(self.working(self.pours[-1] + self.making))
        return int(self.working(math.ceil(self.cuts[block] + self.airing - 1e-6)))

    def days(self, last: int) -> int:
        """Return how many working days there are up to and with a day."""
        return sum(self.works(day) for day in range(last + 1)) if self.start else last + 1


def follow(terms: Terms, pulls: int, blocks: int, note: Note | None = None) -> int:
    """Return the day, counted from 0, on which the last casting is made.

    Parameters
    ----------
    terms : Terms
    pulls, blocks : int
        Castings to make, in so many blocks; together the blocks must last for them.
    note : callable, optional
        Hears of every (day, "pour" | "cut" | "cast", block from 0, castings).
    """
    bench = Bench(terms)
    in_use: list[list[int]] = []  # block, castings left in it, day from which it is free
    coming = day = shop_free = 0
    while True:
        if not in_use:
            day = max(day, bench.ready(coming))
        day = int(bench.working(day))
        while coming < blocks and len(in_use) < terms.blocks_at_once:
            if bench.ready(coming) > day:
                break
            in_use.append([coming, terms.life, 0])
            coming += 1
        made = _cast(terms, day, shop_free, pulls, in_use, note)
        pulls -= made
        if made:
            shop_free = day + terms.shop_every_days
        if pulls <= 0:
            break
        in_use = [one for one in in_use if one[1] > 0]
        day += 1
    if note is not None:
        for block in range(coming):
            note(int(bench.pours[block] + 1e-9), "pour", block, 0)
            note(int(bench.cuts[block] + 1e-9), "cut", block, 0)
    return day


def _cast(
    terms: Terms, day: int, shop_free: int, pulls: int, in_use: list[list[int]], note: Note | None
) -> int:
    """Make one day's castings and return how many."""
    if terms.shop_pulls and day < shop_free:
        return 0
    room = min(pulls, terms.shop_pulls or pulls)
    total = 0
    for one in in_use:
        block, left, free = one
        made = min(terms.pulls_per_day, left, room - total) if free <= day else 0
        if made <= 0:
            continue
        one[1], one[2] = left - made, day + terms.every_days
        total += made
        if note is not None:
            note(day, "cast", block, made)
    return total
