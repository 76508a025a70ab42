"""The cutting card: the blade's way through the rubber, its keys, and the wrap for the outside."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from partline.card.block import Block
from partline.cut.cut import OverFloor
from partline.geometry.surface import Floats, Ints, Surface

Stops = tuple[tuple[str, tuple[float, float]], ...]


@dataclass(frozen=True, eq=False)
class Strokes:
    """Straight strokes of the blade from a line on the piece to the outside of the block.

    Attributes
    ----------
    feet, ends : (k, 3) float64
        On the piece and on the outside [mm].
    clear : (k,) bool
        But for the tip it runs through nothing but rubber (`partline.card.clear`).
    pit : (k,) bool
        It starts in a pit deeper than about twice its width, and heads straight for its mouth.
    splits : (j,) int32
        After these strokes the next one parts from it, or the piece stands between the two: the
        cut is made in two there.
    """

    feet: Floats
    ends: Floats
    clear: NDArray[np.bool_]
    pit: NDArray[np.bool_]
    splits: Ints

    @property
    def depths_mm(self) -> Floats:
        """(k,) length of each stroke [mm]."""
        return np.asarray(np.linalg.norm(self.ends - self.feet, axis=1))


@dataclass(frozen=True, eq=False)
class Keys:
    """The zigzag of one cut.

    Attributes
    ----------
    sideways_mm : (q,) float64
        Offset across the cut at each station, left positive [mm].
    outside : (q, 3) float64
        The zigzag on the outside of the block [mm].
    half_mm : (k,) float64
        Half the width it may take at each stroke [mm]; 0 where the cut is smooth.
    smooth_mm : float
        Next to the piece it is smooth for so far; 0 when jagged all the way in [mm].
    width_mm, pitch_mm, flank_deg : float
        Of a full zigzag: crest to crest across, its length, slope of its flanks.
    surface : Surface
        The jagged cut, from the outside to the piece.
    """

    sideways_mm: Floats
    outside: Floats
    half_mm: Floats
    smooth_mm: float
    width_mm: float
    pitch_mm: float
    flank_deg: float
    surface: Surface


@dataclass(frozen=True)
class Mark:
    """What the hand needs at one mark on the outside.

    Attributes
    ----------
    number : int
    place_mm, tip_mm : tuple of float
        Where the blade enters, and where its tip ends on the piece [mm].
    on_wrap_mm, tip_on_wrap_mm : tuple of float
        The same on the wrap, the tip thrown square onto the wall [mm].
    depth_mm : float
        How deep the blade goes, measured along it [mm].
    keys_mm : float
        So deep for the keys: the depth less what stays smooth [mm].
    lean_deg : float
        Between the blade and the square to the wall [degrees].
    toward : str
        Where its tip leans: "the mouth", "the far face", "left", "right", or "" when square.
    clear : bool
        False where no straight blade gets there.
    short_mm : float
        By how much the user's blade is too short for it; 0 where it is not, or is not known [mm].
    """

    number: int
    place_mm: tuple[float, float, float]
    tip_mm: tuple[float, float, float]
    on_wrap_mm: tuple[float, float]
    tip_on_wrap_mm: tuple[float, float]
    depth_mm: float
    keys_mm: float
    lean_deg: float
    toward: str
    clear: bool
    short_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class BladeCut:
    """One cut as the knife makes it.

    Attributes
    ----------
    number : int
    strokes : Strokes
    surface : Surface
        The swept surface, smooth: one strip between the line on the piece and the outside.
    keys : Keys
    marks : tuple of Mark
    stops : tuple of tuple (str, (float, float))
        "try here", "likely", "never past", and where on the wrap [mm]; the last lies where the web
        begins, straight on from the line's end.
    middle, left, right : (k, 2) float64
        Middle and edges of the band on the wrap [mm].
    zigzag : (q, 2) float64
        The zigzag on the wrap [mm].
    words : tuple of str
    face : str
        Of the block, where the blade enters: "side", or "far face" for what of a cut runs over
        the floor of the mould. Its places on paper are then those of the far-face disc.
    """

    number: int
    strokes: Strokes
    surface: Surface
    keys: Keys
    marks: tuple[Mark, ...]
    stops: Stops
    middle: Floats
    left: Floats
    right: Floats
    zigzag: Floats
    words: tuple[str, ...]
    face: str = "side"

    @property
    def name(self) -> str:
        """What it is called on the card."""
        return f"Cut {self.number}" + (", over the far face" if self.face != "side" else "")

    @property
    def runs(self) -> tuple[slice, ...]:
        """The stretches of strokes between splits, each two or more, as slices."""
        bounds = [0, *(int(s) + 1 for s in self.strokes.splits), len(self.strokes.feet)]
        return tuple(slice(a, b) for a, b in pairwise(bounds) if b - a > 1)


@dataclass(frozen=True, eq=False)
class Wrap:
    """The outside of the block laid flat, seen from outside, mouth edge up; y down [mm].

    Attributes
    ----------
    outline : (k, 2) float64
        Closed.
    mouth_edge, far_edge : (k, 2) float64
    front : (2, 2) float64
        The front line, from the mouth edge down.
    folds : tuple of (2, 2) float64
        Where a box's faces meet.
    web : (k, 2) float64
        Closed: what is never cut; empty when nothing is cut.
    seam_deg : float
        On which side its ends meet, clockwise from the front mark, looking into the mouth.
    round_mouth_mm, round_far_mm : float
        How long the mouth edge and the far edge are [mm].
    """

    outline: Floats
    mouth_edge: Floats
    far_edge: Floats
    front: Floats
    folds: tuple[Floats, ...]
    web: Floats
    seam_deg: float
    round_mouth_mm: float
    round_far_mm: float


@dataclass(frozen=True, eq=False)
class CuttingCard:
    """All that goes onto the outside of the block.

    Attributes
    ----------
    block : Block
    container : str
    own : bool
        The container was measured by the user.
    measures : tuple of tuple (str, float)
        Three numbers to check on the container before the wrap is used [mm].
    cuts : tuple of BladeCut
    wrap : Wrap
    hand_mm : float
        How well a hand follows a line in rubber [mm].
    words : tuple of str
    blade_mm : float or None
        How far the user's blade reaches out of its holder; None where that was not said [mm].
    over : OverFloor or None
        Of a cut that runs over the far face.
    """

    block: Block
    container: str
    own: bool
    measures: tuple[tuple[str, float], ...]
    cuts: tuple[BladeCut, ...]
    wrap: Wrap
    hand_mm: float
    words: tuple[str, ...]
    blade_mm: float | None = None
    over: OverFloor | None = None

    @property
    def deepest_mm(self) -> float:
        """The longest stroke of any cut: so long a blade is needed; 0 without a cut [mm]."""
        return max((float(cut.strokes.depths_mm.max()) for cut in self.cuts), default=0.0)


def blade_rows(card: CuttingCard | None) -> list[dict[str, object]] | None:
    """Return the marks of each cut as plain numbers [mm, degrees]; None without a card."""
    if card is None:
        return None
    return [
        {
            "straight_share": float(cut.strokes.clear.mean()),
            "depths_mm": [m.depth_mm for m in cut.marks],
            "leans_deg": [m.lean_deg for m in cut.marks],
            "places_mm": [list(m.place_mm) for m in cut.marks],
        }
        for cut in card.cuts
    ]
