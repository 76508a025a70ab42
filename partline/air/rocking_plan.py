"""Rocking: moves of the capped mould that bring air from its pockets to the mouth."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats


@dataclass(frozen=True)
class Move:
    """Level, tipped, level again.

    Attributes
    ----------
    azimuth_deg : float
        The side that goes down, clockwise from the front mark looking into the mouth [degrees].
    tilt_deg : float
        How far [degrees].
    hold_s : float
        How long to hold it there, by the rise of the smallest bubble worth waiting for, see
        `hold.worth_waiting_for`: estimate [s].
    """

    azimuth_deg: float
    tilt_deg: float
    hold_s: float


@dataclass(frozen=True, eq=False)
class Kept:
    """Air that stays in the piece after all moves.

    Attributes
    ----------
    volume_mm3 : float
        [mm^3]
    apex : (3,) float64
        Where its top is with the mould upright, in the cavity's pose [mm].
    why : str
        Why it stays, in words.
    """

    volume_mm3: float
    apex: Floats
    why: str


@dataclass(frozen=True, eq=False)
class RockingPlan:
    """Moves of the mould after it is full.

    Attributes
    ----------
    moves : tuple of Move
        In order; none where rocking brings nothing.
    before_mm3, after_mm3 : float
        Air in the piece with the mould upright, before and after [mm^3].
    after_each_mm3 : tuple of float
        What is left upright after each move [mm^3].
    top_up_mm3 : float
        What went to the mouth and is topped up [mm^3].
    kept : tuple of Kept
        What stays, largest first.
    fewest : bool
        No fewer of the listed moves reach as little; False where the search was greedy.
    listed : int
        How many different moves were tried.
    step_deg : float
        Step of the turning that was followed [degrees].
    words : tuple of str
    """

    moves: tuple[Move, ...]
    before_mm3: float
    after_mm3: float
    after_each_mm3: tuple[float, ...]
    top_up_mm3: float
    kept: tuple[Kept, ...]
    fewest: bool
    listed: int
    step_deg: float
    words: tuple[str, ...]
