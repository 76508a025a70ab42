"""Filling tipped, then standing the mould up: what was no high point meanwhile holds no air."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats


@dataclass(frozen=True, eq=False)
class TippedFill:
    """One way of filling: tip, fill to the rim's lowest point, stand up, top up.

    Attributes
    ----------
    up : (3,) float64
        Up while it is tipped, in the cavity's pose.
    azimuth_deg : float
        The side that goes down, clockwise from the front mark [degrees].
    tilt_deg : float
        How far [degrees].
    filled_share : float
        Share of the cavity that is full when it is stood up, 0 to 1.
    sealed_mm3 : float
        Air sealed in while it is tipped [mm^3].
    left_mm3 : float
        Air left with the mould upright and topped up [mm^3].
    level_mm3 : float
        Air left if nothing is tipped [mm^3].
    top_up_mm3 : float
        What is poured in after it is stood up [mm^3].
    left_in : tuple of float
        Air left in each visible pocket of the upright pose, in their order [mm^3].
    words : tuple of str
    """

    up: Floats
    azimuth_deg: float
    tilt_deg: float
    filled_share: float
    sealed_mm3: float
    left_mm3: float
    level_mm3: float
    top_up_mm3: float
    left_in: tuple[float, ...]
    words: tuple[str, ...]
