"""How far to cut: the three marks, from the stretch of the rings that stay closed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from partline.cut.cut import Marks, Stretch
from partline.cut.demould import Bridge, Demould
from partline.errors import StandError
from partline.geometry.surface import Floats
from partline.stand.stand import Stand

# Shares of the piece's height at which a hand first tries, and mostly has to go to, whatever the
# stretch says. Common practice, no source.
TRY_SHARE = 1 / 2
LIKELY_SHARE = 2 / 3
# A line on the piece needs skin to end on: never beyond this share of its size.
TOP_SHARE = 0.97


@dataclass(frozen=True, eq=False)
class Depth:
    """How far the cut goes and what then has to stretch.

    Attributes
    ----------
    marks : Marks
    curve : Stretch
        With the bridges in `bridges` cut.
    bridges : tuple of Bridge
        Rubber between limbs that must be slit, because it would stretch beyond the working strain.
    needed_mm : float
        Height below which the lines must not end, for the sake of the stretch [mm].
    web_mm : float
        Rubber that must be left uncut [mm].
    """

    marks: Marks
    curve: Stretch
    bridges: tuple[Bridge, ...]
    needed_mm: float
    web_mm: float

    def ending(self, end_mm: float) -> Depth:
        """Return the same with the "likely" mark at another height, the first not above it [mm]."""
        first = min(self.marks.try_here_mm, end_mm)
        return replace(self, marks=replace(self.marks, try_here_mm=first, likely_mm=end_mm))


def at(curve: Stretch, end_mm: float) -> tuple[float, float]:
    """Return the stretch left, snaking and straight [1], once the cut ends at a height [mm]."""
    k = int(np.searchsorted(curve.cut_to_mm, end_mm - 1e-9))
    if k >= len(curve.cut_to_mm):
        return 0.0, 0.0
    return float(curve.snaking[k]), float(curve.straight[k])


def _enough(curve: Stretch, values: Floats, strain: float) -> float:
    """Return the least height [mm] from which nothing stretches more than a strain."""
    within = np.flatnonzero(values <= strain)
    return float(curve.cut_to_mm[within[0]] if len(within) else np.inf)


def how_far(stand: Stand, rings: Demould, *, working: float, web_mm: float | None) -> Depth:
    """Return the marks of the cut.

    Try here: the rings left closed stretch within the working strain if the piece snakes out, and
    half its height is open. Likely: the same for a straight pull, where the web allows it, and
    two thirds. Never past: the web would be thinner than the wall.

    Raises
    ------
    StandError
        If the web leaves nothing of the piece to cut along.
    """
    web = max(stand.wall_mm if web_mm is None else web_mm, stand.wall_mm)
    height = stand.top_mm - stand.seat_mm
    never = min(stand.block_height_mm - web, stand.seat_mm + TOP_SHARE * height)
    if never <= stand.seat_mm:
        raise StandError(
            f"A web of {web:.1f} mm leaves nothing to cut: the block is "
            f"{stand.block_height_mm:.1f} mm high and the piece begins at {stand.seat_mm:.1f} mm. "
            "Give a thinner web (not below the wall) or more headroom."
        )
    mattering = tuple(
        b for b in rings.bridges if b.stretch > working and b.low_mm < never and _thick(b)
    )
    curve = rings.curve(bridges_cut=bool(mattering))
    marks, needed = marks_of(curve, stand.seat_mm, height, never, working)
    return Depth(marks, curve, mattering, needed, web)


def marks_of(
    curve: Stretch, low: float, size: float, never: float, working: float
) -> tuple[Marks, float]:
    """Return the marks of a cut that opens a piece from one end of it, and the least it needs.

    Parameters
    ----------
    curve : Stretch
    low, size : float
        Where the piece begins on the way of the cut, and how far it reaches [mm].
    never : float
        Where the cut must end at the latest [mm].
    working : float
        What the rubber bears each time [1].
    """
    snaking = _enough(curve, curve.snaking, working)
    straight = _enough(curve, curve.straight, working)
    first = min(max(snaking, low + TRY_SHARE * size), never)
    # Where even the web does not leave enough for a straight pull, cutting on gains nothing.
    wanted = straight if straight <= never else snaking
    needed = min(max(first, wanted), never)
    likely = min(max(needed, low + LIKELY_SHARE * size), never)
    return Marks(float(first), float(likely), float(never)), float(needed)


def _thick(bridge: Bridge) -> bool:
    return bridge.high_mm - bridge.low_mm >= 1.0
