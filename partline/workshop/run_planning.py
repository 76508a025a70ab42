"""Plan a run: castings to make, blocks to make them in, and working days."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import replace

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.run import WEEK, Limit, Run, Terms
from partline.workshop.run_calendar import date_of
from partline.workshop.run_days import Bench, follow

_FOREVER = 10**9
MOST_PULLS = 200_000
DAY_MIN = 1440.0


def plan_run(
    good: int,
    *,
    yield_share: float = 0.85,
    life: int = 20,
    pulls_per_day: int | None = None,
    blocks_at_once: int = 1,
    days_wanted: int | None = None,
    days_to_make_block: float | None = None,
    air_out_days: float | None = None,
    cycle_min: float | None = None,
    day_min: float | None = None,
    pot_holds: int | None = None,
    pot_min: float | None = None,
    hands: int | None = None,
    hands_min: float | None = None,
    start: datetime.date | None = None,
    working_days: Sequence[str] = WEEK[:5],
    days_off: Sequence[datetime.date] = (),
) -> Run:
    """Return castings, blocks and days for so many good castings.

    One master makes one block after another; a block airs, then gives so many castings a day
    until it is worn. Blocks are made while earlier ones are being cast in.

    Parameters
    ----------
    good : int
        Good castings wanted.
    yield_share : float
        Share of castings that come out good [1].
    life : int
        Castings one block lasts.
    pulls_per_day : int, optional
        Castings a day from one block; without it or a cycle, the usual figure.
    blocks_at_once : int
        Blocks that are cast in side by side.
    days_wanted : int, optional
        Make more blocks, and cast in all of them side by side, if that meets this many days.
    days_to_make_block, air_out_days : float, optional
        Pouring, curing and cutting one block; airing before its first casting [days].
    cycle_min : float, optional
        From one filling of a block to the next [min]. What is longer than a working day cures
        overnight.
    day_min : float, optional
        A working day [min].
    pot_holds : int, optional
        Blocks the pressure pot holds at once; without it the pot is no limit.
    pot_min : float, optional
        How long one load stays in the pot [min]; needed with `pot_holds`.
    hands : int, optional
        People; without it hands are no limit.
    hands_min : float, optional
        Work on one casting, clean-up included [min]; needed with `hands`.
    start : datetime.date, optional
        First day; without it every day is worked on.
    working_days : sequence of str
        "mon" to "sun"; counts only with a start.
    days_off : sequence of datetime.date
        Dates on which nobody works.

    Raises
    ------
    WorkshopError
        If a figure cannot be, or no number of blocks meets `days_wanted`.
    """
    known = defaults()
    making = known.value("run.days_to_make_block") if days_to_make_block is None else (
        days_to_make_block
    )  # fmt: skip
    airing = known.value("run.air_out_days") if air_out_days is None else air_out_days
    day = 60.0 * known.value("run.day_h") if day_min is None else day_min
    if pulls_per_day is None and cycle_min is None:
        pulls_per_day = round(known.value("run.pulls_per_day"))
    _check(good=good, life=life, pulls_per_day=pulls_per_day, blocks_at_once=blocks_at_once,
           pot_holds=pot_holds, hands=hands, days_wanted=days_wanted)  # fmt: skip
    _check_sizes(yield_share, making, airing, tuple(working_days))
    times = {"day_min": day, "cycle_min": cycle_min, "pot_min": pot_min, "hands_min": hands_min}
    _check_times(times)
    pulls = pulls_for(good, yield_share)
    each, every = _from_block(pulls_per_day, cycle_min, day)
    shop = sorted(_shop(day, pot_holds, pot_min, hands, hands_min), key=lambda s: s[1] / s[2])
    most, rest = shop[0][1:] if shop else (0, 1)
    terms = Terms(yield_share, life, each, every, blocks_at_once, most, rest, making, airing,
                  start, tuple(working_days), tuple(days_off))  # fmt: skip
    blocks = math.ceil(pulls / life)
    if days_wanted is not None and _days(terms, pulls, blocks) > days_wanted:
        blocks, terms = _enough_blocks(terms, pulls, blocks, days_wanted)
    last = follow(terms, pulls, blocks)
    limits = [Limit("castings a day", each / every * terms.blocks_at_once)]
    limits += [Limit(name, count / rest) for name, count, rest in shop]
    limits.sort(key=lambda limit: limit.pulls_a_day)
    return Run(good, pulls, blocks, Bench(terms).days(last),
               _bottleneck(terms, pulls, blocks, shop, limits), terms, tuple(limits),
               date_of(terms, last))  # fmt: skip


def pulls_for(good: int, yield_share: float) -> int:
    """Return how many castings give so many good ones at a yield [1], on average.

    Raises
    ------
    WorkshopError
        If they are more than a hand can make.
    """
    # 17 / 0.85 must be 20 castings and not 21: rounding of the division is no casting.
    pulls = good / yield_share * (1.0 - 1e-12)
    if not pulls <= MOST_PULLS:
        raise WorkshopError(
            f"{good} good castings at a yield of {100 * yield_share:g} % are {pulls:.0f} castings; "
            f"more than {MOST_PULLS} are no run by hand."
        )
    return math.ceil(pulls)


def _check(**counts: int | None) -> None:
    for key, value in counts.items():
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, int):
            raise WorkshopError(f"{key} is {value!r}; a whole number is wanted.")
        if not 1 <= value <= 1_000_000:
            raise WorkshopError(f"{key} is {value}; it must be from 1 to 1 000 000.")


def _check_sizes(share: float, making: float, airing: float, week: tuple[str, ...]) -> None:
    if not (math.isfinite(share) and 0 < share <= 1):
        raise WorkshopError(f"yield_share is {share:g}; it is a share from 0 to 1, not 0.")
    if not (0 < making < 1000 and 0 <= airing < 1000):
        raise WorkshopError(f"A block made in {making:g} days and aired for {airing:g} cannot be.")
    if not week or any(day not in WEEK for day in week):
        raise WorkshopError(f"working_days is {week!r}; write some of {', '.join(WEEK)}.")


def _check_times(times: dict[str, float | None]) -> None:
    for key, value in times.items():
        if value is not None and not 0 < value <= 525_600:
            raise WorkshopError(f"{key} is {value:g} min; it must be more than 0 and under a year.")
    day = times["day_min"]
    if day is not None and day > DAY_MIN:
        raise WorkshopError(f"day_min is {day:g} min; a day has {DAY_MIN:g}.")


def _turns(time_min: float, day_min: float) -> tuple[int, int]:
    """Return how often something that takes so long [min] is done, every how many days."""
    if time_min <= day_min * (1 + 1e-9):
        return math.floor(day_min / time_min * (1 + 1e-9)), 1
    return 1, math.ceil(time_min / DAY_MIN * (1 - 1e-9))


def _from_block(per_day: int | None, cycle: float | None, day: float) -> tuple[int, int]:
    turns, every = (per_day or 1, 1) if cycle is None else _turns(cycle, day)
    return min(turns, per_day or turns), every


def _shop(
    day: float, holds: int | None, pot: float | None, hands: int | None, work: float | None
) -> list[tuple[str, int, int]]:
    """Return what limits the whole shop: name, castings, every how many days."""
    found: list[tuple[str, int, int]] = []
    if holds is not None:
        if pot is None:
            raise WorkshopError("pot_holds needs pot_min: how long one load stays in the pot.")
        loads, every = _turns(pot, day)
        found.append(("pressure pot", holds * loads, every))
    if hands is not None:
        if work is None:
            raise WorkshopError("hands needs hands_min: the work on one casting.")
        share = hands * day / work * (1 + 1e-9)
        found.append(("hands", max(1, math.floor(share)), 1 if share >= 1 else
                      math.ceil(1 / share)))  # fmt: skip
    return found


def _days(terms: Terms, pulls: int, blocks: int) -> int:
    return Bench(terms).days(follow(terms, pulls, blocks))


def _bottleneck(
    terms: Terms, pulls: int, blocks: int, shop: list[tuple[str, int, int]], limits: list[Limit]
) -> str:
    """Return the name of what saves most days when it is eased alone.

    Where two limits bind together, easing either saves nothing: then the tightest is named.
    """
    eased = {
        "making the blocks": follow(replace(terms, making_days=1e-9, airing_days=0.0), pulls,
                                    blocks),
        "castings a day": follow(replace(terms, pulls_per_day=_FOREVER, every_days=1), pulls,
                                 blocks),
        "blocks cast in side by side": follow(replace(terms, blocks_at_once=_FOREVER), pulls,
                                              blocks),
        "life of a block": follow(replace(terms, life=_FOREVER), pulls, 1),
    }  # fmt: skip
    if shop:
        rest = shop[1][1:] if len(shop) > 1 else (0, 1)
        eased[shop[0][0]] = follow(
            replace(terms, shop_pulls=rest[0], shop_every_days=rest[1]), pulls, blocks
        )
    best = min(eased, key=lambda name: eased[name])
    daily = replace(terms, pulls_per_day=_FOREVER, every_days=1, shop_pulls=0, shop_every_days=1)
    if shop and follow(daily, pulls, blocks) < eased[best]:
        return limits[0].name
    return best


def _enough_blocks(terms: Terms, pulls: int, least: int, wanted: int) -> tuple[int, Terms]:
    """Return the fewest blocks, cast in side by side, that meet so many days."""

    def beside(blocks: int) -> Terms:
        return replace(terms, blocks_at_once=max(terms.blocks_at_once, blocks))

    # One more block never takes longer, so the fewest that do can be halved down to.
    most = max(least, min(pulls, wanted))
    best = _days(beside(most), pulls, most)
    if best > wanted:
        raise WorkshopError(
            f"days_wanted is {wanted}, but one master cannot do it in less than {best} days, with "
            "any number of blocks. Allow more days, or make a second master."
        )
    low = least - 1
    while most - low > 1:
        middle = (low + most) // 2
        if _days(beside(middle), pulls, middle) <= wanted:
            most = middle
        else:
            low = middle
    return most, beside(most)
