"""Trapped air over many directions: which way to tip."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats


@dataclass(frozen=True, eq=False)
class DirectionMap:
    """Trapped air for each of many upward directions.

    Attributes
    ----------
    about : (3,) float64
        The middle of the cone searched: up when nothing is tipped, unit length.
    within_deg : float
        Half angle of the cone [degrees].
    directions : (k, 3) float64
        Upward directions, unit length.
    volumes_mm3 : (k,) float64
        Trapped air in each [mm^3].
    best : (3,) float64
        The direction with the least air.
    best_volume_mm3 : float
        Its trapped air [mm^3].
    level_volume_mm3 : float
        Trapped air with nothing tipped [mm^3].
    gap_mm3 : float
        No direction of the cone, searched or not, has less than `best_volume_mm3 - gap_mm3`.
    azimuth_deg : float
        Which way the best one tips: the side that goes down, clockwise from the front mark
        looking into the mouth (resin) or down onto the cup (rubber) [degrees].
    tilt_deg : float
        How far it tips [degrees].
    why : str
        Why this one, of those as good, in words; empty where none was preferred.
    """

    about: Floats
    within_deg: float
    directions: Floats
    volumes_mm3: Floats
    best: Floats
    best_volume_mm3: float
    level_volume_mm3: float
    gap_mm3: float
    azimuth_deg: float
    tilt_deg: float
    why: str = ""
