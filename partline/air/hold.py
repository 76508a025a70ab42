"""How long a move is held: until the air that is worth waiting for has had time to rise."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partline.air.rising import rise_mm_s

# What may be left of the air a move frees when it is set upright again, the smallest bubbles
# first; a choice, no source.
NOT_WAITED_FOR = 0.05


def worth_waiting_for(freed_mm3: ArrayLike, *, visible_mm3: float) -> float:
    """Return the smallest bubble that a move is held for [mm^3]; 0 where nothing is freed.

    Taken largest first, the air of this pocket and of all larger ones is all that the move
    frees, but for a twentieth of it or one visible bubble, whichever is more. So a pocket of a
    pin's head does not make a hand wait for minutes beside one of a thimble.

    Parameters
    ----------
    freed_mm3 : (k,) float
        What the move takes from each pocket [mm^3].
    visible_mm3 : float
        Smallest bubble that counts [mm^3].
    """
    freed = np.sort(np.asarray(freed_mm3, dtype=np.float64))[::-1]
    freed = freed[freed > 0.0]
    if len(freed) == 0:
        return 0.0
    smaller = freed.sum() - np.cumsum(freed)
    enough = smaller <= max(NOT_WAITED_FOR * float(freed.sum()), visible_mm3)
    return float(freed[int(np.argmax(enough))])


def hold_s(bubble_mm3: float, way_mm: float, *, viscosity_pa_s: float, density: float) -> float:
    """Return how long a bubble of that volume rises along a way, in whole seconds, an estimate.

    By `rising.rise_mm_s` (Stokes 1851), as a ball of the same volume.

    Parameters
    ----------
    bubble_mm3 : float
        [mm^3]
    way_mm : float
        [mm]
    viscosity_pa_s, density : float
        Of the liquid [Pa s], [g/cm^3].
    """
    diameter = (6.0 * bubble_mm3 / np.pi) ** (1.0 / 3.0)
    speed = rise_mm_s(diameter, viscosity_pa_s=viscosity_pa_s, density=density)
    return float(np.ceil(way_mm / speed))
