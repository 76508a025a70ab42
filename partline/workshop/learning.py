"""What the log teaches: yield, shrinkage, voids, and which mould nears its end."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv, stdtrit

from partline.errors import WorkshopError
from partline.workshop.log import Log, Pull
from partline.workshop.shrinkage import LIKELY_PERCENT

CONFIDENCE = 0.95
RECENT = 5


@dataclass(frozen=True)
class MouldRecord:
    """What one mould has given.

    Attributes
    ----------
    number, pulls, good : int
    left : int
        Pulls it has left of its stated life; below 0 it has outlived it.
    near_end : bool
    recent, recent_bad : int
        Its last pulls, and how many of them were bad.
    """

    number: int
    pulls: int
    good: int
    left: int
    near_end: bool
    recent: int
    recent_bad: int


@dataclass(frozen=True)
class Learned:
    """What a log teaches.

    Attributes
    ----------
    pulls, good : int
    yield_share : float or None
        None while no pull was good: nothing can be planned with a yield of 0 [1].
    yield_low, yield_high : float
        Its 95 % bounds, exact for the binomial [1].
    shrinkage_percent : float or None
        Of one generation, the mean of the castings measured [%].
    shrinkage_low, shrinkage_high : float
        95 % bounds of that mean; equal to it with one casting [%].
    lengths : int
        Castings measured.
    odd_lines : tuple of int
        Lines whose length cannot be meant; they were left out.
    pigment_g : float or None
        Mean pigment in 100 g of resin [g].
    looked : int
        Castings that were looked over for voids.
    voids_each : float or None
        Voids seen on each of them [1].
    moulds : tuple of MouldRecord
    """

    pulls: int
    good: int
    yield_share: float | None
    yield_low: float
    yield_high: float
    shrinkage_percent: float | None
    shrinkage_low: float
    shrinkage_high: float
    lengths: int
    odd_lines: tuple[int, ...]
    pigment_g: float | None
    looked: int
    voids_each: float | None
    moulds: tuple[MouldRecord, ...]


@dataclass(frozen=True)
class PlaceRecord:
    """One numbered place: what was predicted, and what was seen.

    Attributes
    ----------
    number : int
        As on the sheet; 0 for places without a number.
    holds : bool or None
        Air was predicted to stay there when poured as said; None for a place not foreseen.
    looked, seen : int
        Castings looked over, and those with a void there.
    """

    number: int
    holds: bool | None
    looked: int
    seen: int


def learned(
    log: Log, *, life: int, master_mm: float | None = None, near_end_share: float = 0.2
) -> Learned | None:
    """Return what a log teaches, or None if no pull stands in it.

    Parameters
    ----------
    log : Log
    life : int
        Castings one mould lasts, as stated.
    master_mm : float, optional
        The length on the master that is measured on castings [mm].
    near_end_share : float
        A mould nears its end when so little of its life is left [1].

    References
    ----------
    Clopper and Pearson (1934), exact bounds of a binomial share.
    """
    if not log.pulls:
        return None
    n, good = len(log.pulls), sum(p.good for p in log.pulls)
    low, high = yield_bounds(good, n)
    percents, odd = _shrinkages(log.pulls, master_mm)
    mean, least, most = mean_bounds(percents)
    pigments = [p.pigment_g for p in log.pulls if p.pigment_g is not None]
    voids = [len(p.voids) for p in log.pulls if p.voids is not None]
    near = math.ceil(near_end_share * life)
    return Learned(
        n, good, good / n if good else None, low, high,
        mean, least, most, len(percents), odd,
        float(np.mean(pigments)) if pigments else None,
        len(voids), float(np.mean(voids)) if voids else None,
        tuple(_record(log.pulls, m, life, near) for m in sorted({p.mould for p in log.pulls})),
    )  # fmt: skip


def yield_bounds(good: int, pulls: int) -> tuple[float, float]:
    """Return the exact 95 % bounds of a yield seen as `good` of `pulls` [1].

    Raises
    ------
    WorkshopError
        If there is no pull, or more good ones than pulls.
    """
    if not 0 <= good <= pulls or pulls < 1:
        raise WorkshopError(f"{good} good of {pulls} pulls cannot be.")
    # Clopper and Pearson (1934), "The use of confidence or fiducial limits", by the quantiles of
    # the beta distribution.
    tail = (1.0 - CONFIDENCE) / 2.0
    low = betaincinv(good, pulls - good + 1, tail) if good else 0.0
    high = betaincinv(good + 1, pulls - good, 1.0 - tail) if good < pulls else 1.0
    return float(low), float(high)


def mean_bounds(values: list[float]) -> tuple[float | None, float, float]:
    """Return the mean of some values and its 95 % bounds (Student's t); None without values."""
    if not values:
        return None, 0.0, 0.0
    mean = float(np.mean(values))
    if len(values) == 1:
        return mean, mean, mean
    spread = float(np.std(values, ddof=1)) / math.sqrt(len(values))
    reach = float(stdtrit(len(values) - 1, (1 + CONFIDENCE) / 2)) * spread
    return mean, mean - reach, mean + reach


def _shrinkages(
    pulls: tuple[Pull, ...], master_mm: float | None
) -> tuple[list[float], tuple[int, ...]]:
    """Return the shrinkage of each casting measured [%], and the lines that cannot be meant."""
    found, odd = [], []
    for pull in pulls:
        if pull.length_mm is None or master_mm is None:
            continue
        percent = 100.0 * (1.0 - pull.length_mm / master_mm)
        if LIKELY_PERCENT[0] <= percent <= LIKELY_PERCENT[1]:
            found.append(percent)
        else:
            odd.append(pull.line)
    return found, tuple(odd)


def _record(pulls: tuple[Pull, ...], mould: int, life: int, near: int) -> MouldRecord:
    own = [p for p in pulls if p.mould == mould]
    last = own[-RECENT:]
    left = life - len(own)
    return MouldRecord(mould, len(own), sum(p.good for p in own), left, left <= near, len(last),
                       sum(not p.good for p in last))  # fmt: skip


def predicted_and_seen(
    log: Log, holds: Mapping[int, bool], *, places: str = ""
) -> tuple[tuple[PlaceRecord, ...], int]:
    """Compare predicted with seen voids, place by place.

    Parameters
    ----------
    log : Log
    holds : mapping of int to bool
        Number of each place on the sheet -> whether air is predicted to stay there.
    places : str
        Mark of that numbering; pulls written down under another one are left out.

    Returns
    -------
    records : tuple of PlaceRecord
        Every place of the sheet, then others that were seen.
    earlier : int
        Castings looked over under another numbering.
    """
    looked = [p for p in log.pulls if p.voids is not None]
    ours = [p for p in looked if not places or p.places in ("", places)]
    numbers = list(holds) + sorted({v for p in ours for v in p.voids or ()} - set(holds))
    records = tuple(
        PlaceRecord(n, holds.get(n), len(ours), sum(n in (p.voids or ()) for p in ours))
        for n in numbers
    )
    return records, len(looked) - len(ours)
