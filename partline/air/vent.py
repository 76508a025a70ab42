"""Vents: holes through the rubber from where air stays, straight up to the mouth face."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats


@dataclass(frozen=True, eq=False)
class Vent:
    """One vent.

    Attributes
    ----------
    place : (3,) float64
        Where it meets the piece, in the cavity's pose [mm].
    vertex : int
        Vertex of the cavity there.
    pocket : int
        Index of the visible pocket of the upright mould that it empties.
    direction : (3,) float64
        From there to the outside, unit length.
    exit : (3,) float64
        Where it opens in the mouth face [mm].
    length_mm : float
        Straight, from the piece to the outside [mm].
    lean_deg : float
        How far it leans from upright [degrees].
    diameter_mm : float
        [mm]
    detail : float
        Finest detail under its end, as the weights that were given [1].
    saves_mm3 : float
        Air that leaves by it, with the vents before it open: found by following the air anew
        with its end as an outlet [mm^3].
    """

    place: Floats
    vertex: int
    pocket: int
    direction: Floats
    exit: Floats
    length_mm: float
    lean_deg: float
    diameter_mm: float
    detail: float
    saves_mm3: float


@dataclass(frozen=True, eq=False)
class Unvented:
    """Air that no vent is planned for.

    Attributes
    ----------
    pocket : int
        Index of the visible pocket of the upright mould.
    volume_mm3 : float
        What stays in it [mm^3].
    apex : (3,) float64
        Its highest point [mm].
    why : str
    """

    pocket: int
    volume_mm3: float
    apex: Floats
    why: str


@dataclass(frozen=True, eq=False)
class VentPlan:
    """The fewest vents that bring the air that stays under a stated volume.

    Attributes
    ----------
    vents : tuple of Vent
        The one that saves most first; none where none is needed.
    before_mm3, after_mm3 : float
        Visible air in the piece with the mould upright, without and with them [mm^3].
    largest_mm3 : float
        The most air that may stay [mm^3].
    left_in : tuple of float
        What stays in each visible pocket of the upright mould [mm^3].
    fewest : bool
        No fewer vents do as much, of all the places looked at; False where places were left out.
    places : int
        How many places were looked at.
    unvented : tuple of Unvented
        Where more than a bubble stays, and why; largest first.
    words : tuple of str
    """

    vents: tuple[Vent, ...]
    before_mm3: float
    after_mm3: float
    largest_mm3: float
    left_in: tuple[float, ...]
    fewest: bool
    places: int
    unvented: tuple[Unvented, ...]
    words: tuple[str, ...]

    @property
    def reached(self) -> bool:
        """Whether no more stays than may."""
        return self.after_mm3 <= self.largest_mm3
