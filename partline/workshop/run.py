"""The run: how many pulls, moulds and days for so many good castings."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True)
class Terms:
    """What a run is planned with.

    Attributes
    ----------
    yield_share : float
        Share of castings that come out good [1].
    life : int
        Castings one block lasts.
    pulls_per_day, every_days : int
        One block gives so many castings every so many days.
    blocks_at_once : int
        Blocks that are cast in side by side.
    shop_pulls, shop_every_days : int
        The whole shop gives no more than so many every so many days; 0 where nothing limits it.
    making_days, airing_days : float
        From pouring a block to cutting it, and from there to its first casting [days].
    start : datetime.date or None
        The first day; without one every day is worked on and days only have numbers.
    working_days : tuple of str
        "mon" to "sun"; counts only with a start.
    days_off : tuple of datetime.date
        Dates on which nobody works.
    """

    yield_share: float
    life: int
    pulls_per_day: int
    every_days: int
    blocks_at_once: int
    shop_pulls: int
    shop_every_days: int
    making_days: float
    airing_days: float
    start: datetime.date | None
    working_days: tuple[str, ...]
    days_off: tuple[datetime.date, ...]


@dataclass(frozen=True)
class Limit:
    """One thing that limits a day.

    Attributes
    ----------
    name : str
        "castings a day", "pressure pot" or "hands".
    pulls_a_day : float
        Castings a day of the whole shop, were it the only limit.
    """

    name: str
    pulls_a_day: float


@dataclass(frozen=True)
class Run:
    """A run of castings.

    Attributes
    ----------
    good : int
        Good castings wanted.
    pulls : int
        Castings to make, bad ones included.
    blocks : int
        Moulds to make.
    days : int
        Working days, the making of the moulds included.
    bottleneck : str
        What limits it: "life of a block", "castings a day", ...
    terms : Terms or None
        What it was planned with; `partline.workshop.run_calendar.calendar` needs it.
    limits : tuple of Limit
        What limits a day, the tightest first.
    finish : datetime.date or None
        The day of the last casting, where the first day is known.
    """

    good: int
    pulls: int
    blocks: int
    days: int
    bottleneck: str
    terms: Terms | None = None
    limits: tuple[Limit, ...] = ()
    finish: datetime.date | None = None
