"""Shrinkage: how big castings become, and how big the master must be for them to be right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partline.errors import WorkshopError

LIKELY_PERCENT = (-5.0, 10.0)


@dataclass(frozen=True)
class Shrinkage:
    """What a master and its castings measure.

    Attributes
    ----------
    percent : float
        Linear shrinkage of one generation, from the master to a casting [%].
    low_percent, high_percent : float
        Its likely bounds where it was measured more than once; the figure itself otherwise [%].
    generations : int
    factor : float
        How much longer the master must be than the castings wanted [1].
    master_mm : float
        Height of the master as it is [mm].
    casting_mm : float
        What castings from it will measure [mm].
    needed_mm : float
        What the master would have to measure for castings as tall as what is cast of it [mm].
    measured : int
        Castings that were measured; 0 where the figures come from labels or usual values.
    rubber_percent, resin_percent : float
        What stands on the labels, or is usual [%].
    trimmed_mm : float
        How much of the master is trimmed off its underside and not cast [mm].
    """

    percent: float
    low_percent: float
    high_percent: float
    generations: int
    factor: float
    master_mm: float
    casting_mm: float
    needed_mm: float
    measured: int
    rubber_percent: float
    resin_percent: float
    trimmed_mm: float = 0.0


def scale_factor(percents: Sequence[float], generations: int = 1) -> float:
    """Return k = 1 / ((1 - s1)(1 - s2)...), once for every generation.

    Parameters
    ----------
    percents : sequence of float
        Linear shrinkage of each material in turn, (mould - part) / mould [%].
    generations : int
        A casting that serves as the next master adds one.

    Raises
    ------
    WorkshopError
        If a shrinkage lies outside -5 to 10 %, or there is no generation.
    """
    low, high = LIKELY_PERCENT
    kept = 1.0
    for percent in percents:
        if not (math.isfinite(percent) and low <= percent <= high):
            raise WorkshopError(
                f"A linear shrinkage of {percent:g} % cannot be meant; {low:g} to {high:g} % can. "
                "Is it a volume shrinkage? A third of that is the linear one."
            )
        kept *= 1.0 - percent / 100.0
    if isinstance(generations, bool) or not 1 <= generations <= 100:
        raise WorkshopError(f"generations is {generations!r}; a whole number from 1 is wanted.")
    return 1.0 / float(kept**generations)


def shrinkage(
    master_mm: float,
    *,
    rubber_percent: float,
    resin_percent: float,
    generations: int = 1,
    measured_percent: float | None = None,
    bounds_percent: tuple[float, float] | None = None,
    measured: int = 0,
    trimmed_mm: float = 0.0,
) -> Shrinkage:
    """Return what the castings measure, and what the master would have to.

    Parameters
    ----------
    master_mm : float
        Height of the master [mm].
    rubber_percent, resin_percent : float
        Linear shrinkage of each [%].
    generations : int
    measured_percent : float, optional
        Shrinkage of one generation found on castings; it replaces the two figures above [%].
    bounds_percent : tuple of float, optional
        Its likely bounds [%].
    measured : int
        On so many castings.
    trimmed_mm : float
        How much of the master is trimmed off its underside [mm].

    Raises
    ------
    WorkshopError
        As `scale_factor`, or if the master has no size.
    """
    if not (math.isfinite(master_mm) and master_mm > 0):
        raise WorkshopError(f"master_mm is {master_mm:g}; it must be more than 0.")
    if measured_percent is None:
        one = scale_factor((rubber_percent, resin_percent))
        percent = 100.0 * (1.0 - 1.0 / one)
    else:
        percent = measured_percent
    k = scale_factor((percent,), generations) if measured_percent is not None else scale_factor(
        (rubber_percent, resin_percent), generations
    )  # fmt: skip
    low, high = bounds_percent or (percent, percent)
    return Shrinkage(percent, low, high, generations, k, master_mm,
                     (master_mm - trimmed_mm) / k, master_mm * k, measured, rubber_percent,
                     resin_percent, trimmed_mm)  # fmt: skip
