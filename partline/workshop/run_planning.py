"""Plan a run: castings to make, blocks to make them in, and working days."""

from __future__ import annotations

import math

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.run import Run

_FOREVER = 10**9
MOST_PULLS = 200_000


def plan_run(
    good: int,
    *,
    yield_share: float = 0.85,
    life: int = 20,
    pulls_per_day: int = 10,
    blocks_at_once: int = 1,
    days_wanted: int | None = None,
    days_to_make_block: float | None = None,
    air_out_days: float | None = None,
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
    pulls_per_day : int
        Castings a day from one block.
    blocks_at_once : int
        Blocks that are cast in side by side.
    days_wanted : int, optional
        Make more blocks, and cast in all of them side by side, if that meets this many days.
    days_to_make_block, air_out_days : float, optional
        Pouring, curing and cutting one block; airing before its first casting [days].

    Raises
    ------
    WorkshopError
        If a figure cannot be, or no number of blocks meets `days_wanted`.
    """
    known = defaults()
    making = days_to_make_block
    airing = air_out_days
    making = known.value("run.days_to_make_block") if making is None else making
    airing = known.value("run.air_out_days") if airing is None else airing
    _check(good=good, life=life, pulls_per_day=pulls_per_day, blocks_at_once=blocks_at_once)
    if not (math.isfinite(yield_share) and 0 < yield_share <= 1):
        raise WorkshopError(f"yield_share is {yield_share:g}; it is a share from 0 to 1, not 0.")
    if not (0 < making < 1000 and 0 <= airing < 1000):
        raise WorkshopError(f"A block made in {making:g} days and aired for {airing:g} cannot be.")
    # 17 / 0.85 must be 20 castings and not 21: rounding of the division is no casting.
    pulls = math.ceil(good / yield_share * (1.0 - 1e-12))
    if pulls > MOST_PULLS:
        raise WorkshopError(
            f"{good} good castings at a yield of {100 * yield_share:g} % are {pulls} castings; "
            f"more than {MOST_PULLS} are no run by hand."
        )
    blocks = math.ceil(pulls / life)

    def days(blocks: int, pulls_per_day: int, at_once: int, making: float, airing: float) -> int:
        return _days(pulls, blocks, life, pulls_per_day, at_once, making, airing)

    taken = days(blocks, pulls_per_day, blocks_at_once, making, airing)
    if days_wanted is not None and taken > days_wanted:
        blocks, taken = _enough_blocks(pulls, blocks, life, pulls_per_day, blocks_at_once,
                                       making, airing, days_wanted)  # fmt: skip
        blocks_at_once = max(blocks_at_once, blocks)
    eased = {
        "making the blocks": days(blocks, pulls_per_day, blocks_at_once, 1e-9, 0.0),
        "castings a day": days(blocks, _FOREVER, blocks_at_once, making, airing),
        "blocks cast in side by side": days(blocks, pulls_per_day, _FOREVER, making, airing),
        "life of a block": _days(pulls, 1, _FOREVER, pulls_per_day, blocks_at_once, making,
                                 airing),
    }  # fmt: skip
    return Run(good, pulls, blocks, taken, min(eased, key=lambda name: eased[name]))


def _check(**counts: int) -> None:
    for key, value in counts.items():
        if isinstance(value, bool) or not isinstance(value, int):
            raise WorkshopError(f"{key} is {value!r}; a whole number is wanted.")
        if not 1 <= value <= 1_000_000:
            raise WorkshopError(f"{key} is {value}; it must be from 1 to 1 000 000.")


def _days(
    pulls: int, blocks: int, life: int, per_day: int, at_once: int, making: float, airing: float
) -> int:
    """Follow the workshop day by day; return the day on which the last casting is made."""

    def ready(block: int) -> int:  # the first morning on which it can be cast in
        return math.ceil((block + 1) * making + airing - 1e-6)

    in_use: list[int] = []  # castings left in each, oldest first
    coming = day = 0
    while pulls > 0:
        if not in_use:
            day = max(day, ready(coming))
        while coming < blocks and len(in_use) < at_once and ready(coming) <= day:
            in_use.append(life)
            coming += 1
        for k, left in enumerate(in_use):
            made = min(per_day, left, pulls)
            in_use[k] -= made
            pulls -= made
        in_use = [left for left in in_use if left > 0]
        day += 1
    return day


def _enough_blocks(
    pulls: int, least: int, life: int, per_day: int, at_once: int, making: float, airing: float,
    wanted: int,
) -> tuple[int, int]:  # fmt: skip
    best = _FOREVER
    for blocks in range(least, max(least, wanted) + 1):
        taken = _days(pulls, blocks, life, per_day, max(at_once, blocks), making, airing)
        if taken <= wanted:
            return blocks, taken
        best = min(best, taken)
    raise WorkshopError(
        f"days_wanted is {wanted}, but one master cannot do it in less than {best} days, with any "
        "number of blocks. Allow more days, or make a second master."
    )
