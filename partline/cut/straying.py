"""How far a line has to stray from its side so that skin leads from the mouth to its end.

Sides are told from the middle of the piece at each height. Where that middle moves on the way up,
as over legs at one end of a body, the skin of one side may fall apart: nothing on it joins the
mouth to the end. The line is then let out round the front, no farther than it must.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from partline.geometry.patches import way_leads
from partline.geometry.surface import Floats, Surface

# So far beyond its sector a line may stray on its way without a word, and in such steps it is let
# out farther [degrees]; common practice, no source.
STRAY = 15.0


class Strayed(NamedTuple):
    """Where a line may run.

    Attributes
    ----------
    open : (n,) bool
    stray_deg : float
        How far beyond its sector that reaches, toward the front [degrees].
    """

    open: NDArray[np.bool_]
    stray_deg: float


def strayed(
    piece: Surface,
    skin: NDArray[np.bool_],
    bearing: Floats,
    sector: tuple[float, float],
    sources: NDArray[np.int64],
    targets: NDArray[np.int64],
) -> Strayed:
    """Return the skin about a sector on which a line leads from some vertices to others.

    It reaches `STRAY` beyond the sector on either side, farther only where nothing leads on that,
    and then toward the front (0 degrees) alone: what lies toward the back belongs to the line on
    the other side, and two lines must not cross. Where nothing leads on all of the skin up to the
    front either, it is as if the line did not stray.

    Parameters
    ----------
    piece : Surface
    skin : (n,) bool
        Vertices that a line may touch at all.
    bearing : (n,) float64
        Which way they lie round from the front mark, 0 to 360 [degrees].
    sector : tuple of float
        From and to which bearing the line begins and ends [degrees].
    sources, targets : (k,) int64
        Vertices where it begins and ends; the targets may lie beyond what it may stray.
    """
    low, high = sector
    farthest = max(low if low < 180 else 0.0, 360 - high if high > 180 else 0.0)

    def about(stray: float) -> NDArray[np.bool_]:
        # A sector on one side of the piece is let out away from the back only.
        before = stray if low < 180 else STRAY
        after = stray if high > 180 else STRAY
        open_ = skin & (bearing >= low - before) & (bearing <= high + after)
        open_[targets] |= skin[targets]
        return open_

    near = about(STRAY)
    stray, open_ = STRAY, near
    while not way_leads(piece, open_, sources, targets):
        if stray >= farthest:
            return Strayed(near, STRAY)
        stray = min(stray + STRAY, farthest)
        open_ = about(stray)
    return Strayed(open_, stray)
