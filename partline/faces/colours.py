"""The colours of everything that is drawn, chosen to be told apart without red against green.

The four strong ones are after Okabe and Ito (2008), "Color universal design"; meaning is never
carried by colour alone: air is numbered, the cut is a tube with its ends marked, the mouth a ring.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

STONE = "#d9cbb6"
DETAIL_END = "#0b4f86"
CUT = "#d55e00"
LED = "#7a3600"
AIR = "#9a3f86"
MOUTH = "#00795a"
FOOT = "#b7b9b4"
CUP = "#8fa6b8"
RUBBER = "#a9b7c9"
RESIN = "#e3a63c"
RESIN_TOP = "#b97f1d"
FRONT = "#68717d"
STAY_OFF = "#b5484f"
GO_HERE = "#3d7fc4"
OTHER = "#31688e"
COIN = "#b08d57"
VENT = "#00795a"
BRUSH = "#7a5c00"
FAULT = "#b3202c"
INSIDE = "#a3b4d0"
INSIDE_WORD = "#4a5f85"
MADE_UP = "#e3a63c"
MADE_UP_WORD = "#8a5a00"
INK = "#23262b"
PAPER = "#ffffff"
DARK = "#2b2e33"


def rgb(colour: str) -> NDArray[np.uint8]:
    """Return the (3,) bytes of a "#rrggbb" colour."""
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)], dtype=np.uint8)


def detail_colours(weight: ArrayLike) -> NDArray[np.uint8]:
    """Return (n, 3) bytes for detail weights: plain stone at 0 to deep blue at 1.

    One hue darkening evenly, so that it reads in grey print and to every eye.

    Parameters
    ----------
    weight : (n,) array_like
        Detail, 0 to 1; values outside are held at the ends [1].
    """
    share = np.clip(np.asarray(weight, dtype=np.float64), 0.0, 1.0)[:, None]
    start, stop = rgb(STONE).astype(float), rgb(DETAIL_END).astype(float)
    return np.rint(start + (stop - start) * np.sqrt(share)).astype(np.uint8)
