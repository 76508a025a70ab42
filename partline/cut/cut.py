"""The cut: no, one or two lines over the piece from the mouth, and what they cost."""

from __future__ import annotations

from dataclasses import dataclass

from partline.geometry.surface import Floats

# A bridge of rubber farther than this from every line is slit by itself [mm]; common practice, no
# source.
FAR_MM = 30.0


@dataclass(frozen=True)
class Marks:
    """How far to cut, as depths below the mouth face (z above the cup's floor) [mm].

    Attributes
    ----------
    try_here_mm : float
        Cut so far and try.
    likely_mm : float
        Here it likely comes out within the rubber's working strain.
    never_past_mm : float
        Beyond this the web is thinner than the wall and the block may tear or leak.
    """

    try_here_mm: float
    likely_mm: float
    never_past_mm: float


@dataclass(frozen=True)
class OverFloor:
    """How a line goes on over the floor of the mould, and the side that stays whole as a hinge.

    Places are measured level, from where the line starts toward the hinge.

    Attributes
    ----------
    hinge : str
        "front", "left" or "right": the side of the block that stays whole from mouth to floor.
    toward : tuple of float
        Level unit vector from the side where the line starts to the hinge.
    try_here_mm, likely_mm, never_past_mm : float
        Where the cut may end, as places p . toward [mm]; past the last one the web beside the
        hinge is thinner than the wall.
    web_mm : float
        Rubber left whole beside the hinge at the "likely" mark [mm].
    """

    hinge: str
    toward: tuple[float, float, float]
    try_here_mm: float
    likely_mm: float
    never_past_mm: float
    web_mm: float


@dataclass(frozen=True)
class ScrapeStretch:
    """A stretch of the parting line with the same kind of skin on either side.

    Attributes
    ----------
    from_mm, to_mm : float
        Along the line from the mouth [mm].
    low_mm, high_mm : float
        Heights between which it lies [mm].
    textured : str
        Where a scraper would spoil detail: "plain" (nowhere), "left", "right" or "both", as seen
        from outside with the mouth down.
    """

    from_mm: float
    to_mm: float
    low_mm: float
    high_mm: float
    textured: str


@dataclass(frozen=True, eq=False)
class CutLine:
    """One line of the knife on the piece.

    Attributes
    ----------
    points : (k, 3) float64
        From the seat at the mouth to its end, in the stand's pose [mm].
    length_mm : float
    clearance_left_mm, clearance_right_mm : float
        Distance over the surface to the nearest detail on either side that need not be crossed (a
        bead all round the base has to be), left and right as seen from outside with
        the mouth down (the master's pose) [mm]; inf where there is none.
    closest_left_mm, closest_right_mm : tuple of float or None
        Where that detail is [mm].
    worst_detail : float
        Greatest detail weight the line crosses, 0 to 1.
    cost : float
        Cost of the line, in mm of plain skin [mm].
    share_on_show : float
        Share of its length that is seen from the front, 0 to 1.
    cleanup_min : float
        Minutes of clean-up of the parting line for one casting [min].
    azimuth_deg : float
        On which side it lies: clockwise from the front mark, looking into the mouth [degrees].
    marks : Marks
    side : str
        "back", "left" or "right", as seen from the front; "" where it is not known.
    scrape : tuple of ScrapeStretch
        From the mouth on.
    over : OverFloor or None
        Where the line goes on over the floor of the mould; its `marks` are then all at that floor,
        for the block is opened over its whole height.
    """

    points: Floats
    length_mm: float
    clearance_left_mm: float
    clearance_right_mm: float
    closest_left_mm: tuple[float, float, float] | None
    closest_right_mm: tuple[float, float, float] | None
    worst_detail: float
    cost: float
    share_on_show: float
    cleanup_min: float
    azimuth_deg: float
    marks: Marks
    side: str = ""
    scrape: tuple[ScrapeStretch, ...] = ()
    over: OverFloor | None = None


@dataclass(frozen=True)
class RubberLoop:
    """Rubber that passes through a hole of the piece and holds it like a ring through a handle.

    Attributes
    ----------
    place_mm : tuple of float
        Middle of the hole [mm].
    low_mm, high_mm : float
        Heights between which it lies [mm].
    opening_mm : float
        Narrow width of the hole: how thick the rubber through it is [mm].
    matters : bool
        False for a pin-hole, whose thread of rubber pulls out or tears without harm.
    cut_mm : float
        Length of the bridge cut that opens it: from the hole to the nearest line [mm]; inf where
        there is no line.
    line : int
        Number of that line, from 0; -1 where there is none.
    stretch : float
        What it must stretch if it is not cut; inf where it does not come off at all [1].
    """

    place_mm: tuple[float, float, float]
    low_mm: float
    high_mm: float
    opening_mm: float
    matters: bool
    cut_mm: float
    line: int
    stretch: float

    @property
    def apart(self) -> bool:
        """It lies so far from every line that it is slit by itself."""
        return self.cut_mm > FAR_MM


@dataclass(frozen=True)
class Pit:
    """A pit of the piece: the plug of rubber in it must squeeze through its neck.

    Attributes
    ----------
    place_mm : tuple of float
        Middle of its neck [mm].
    neck_mm, inside_mm : float
        Girth of the plug at the neck, and at its widest inside [mm].
    depth_mm : float
        From the neck to the bottom [mm].
    stretch : float
        By how much the plug must give: inside over neck, less 1 [1].
    """

    place_mm: tuple[float, float, float]
    neck_mm: float
    inside_mm: float
    depth_mm: float
    stretch: float


@dataclass(frozen=True, eq=False)
class Stretch:
    """What the rubber must stretch for the piece to come out, against how far the cut goes.

    Attributes
    ----------
    cut_to_mm : (k,) float64
        End of the cut: height above the cup's floor [mm].
    snaking : (k,) float64
        Lower bound: greatest girth that must pass each uncut ring, over that ring, less 1 [1].
    straight : (k,) float64
        Upper bound: the same with the hull of everything above, pulled straight [1].
    """

    cut_to_mm: Floats
    snaking: Floats
    straight: Floats


@dataclass(frozen=True, eq=False)
class Cut:
    """The cut that was chosen.

    Attributes
    ----------
    lines : tuple of CutLine
        None for a piece that pulls straight out.
    count : int
    length_mm : float
        All lines together [mm].
    clearance_mm : float
        The least distance of any line to detail on either side [mm]; inf where there is none.
    cost : float
        All lines together, in mm of plain skin [mm].
    gap : float
        By which share of its cost a line may at most be dearer than the best one on its ground;
        proved for the cut that was chosen, 1 (nothing proved) for its alternatives [1].
    stretch : float
        Stretch of the rubber at the "likely" mark (snaking) [1].
    stretch_straight : float
        The same for a straight pull [1].
    working_strain : float
        What the rubber may be stretched each time [1].
    web_mm : float
        Rubber left uncut below the far face [mm].
    cleanup_min : float
        Minutes of clean-up for one casting [min].
    curve : Stretch
    verdict : str
        One sentence: "comes out", "comes out with a firm pull", "try it", "will not".
    certificate : str
        "Nothing better anywhere", in words.
    words : tuple of str
        What else a person should know.
    alternatives : tuple of Cut
        Other counts or lines that were weighed, dearest last; empty inside an alternative.
    lips : float
        Bending strain of the lips when the block is laid open; an estimate [1].
    tearing_kj_m2 : float
        Energy that the rubber then gives up per area at the end of the cut; an estimate [kJ/m^2].
    loops : tuple of RubberLoop
        Rubber that passes through the piece, largest first.
    corridor_mm : float
        Half the width of a line's corridor, by which alternatives differ [mm].
    pits : tuple of Pit
        Pits that are wider inside than at their neck, worst first.
    led : bool
        Of an alternative: its line was led round the corridors of the others, and is not the
        best one on its side.
    """

    lines: tuple[CutLine, ...]
    count: int
    length_mm: float
    clearance_mm: float
    cost: float
    gap: float
    stretch: float
    stretch_straight: float
    working_strain: float
    web_mm: float
    cleanup_min: float
    curve: Stretch
    verdict: str
    certificate: str
    words: tuple[str, ...]
    alternatives: tuple[Cut, ...]
    lips: float = 0.0
    tearing_kj_m2: float = 0.0
    loops: tuple[RubberLoop, ...] = ()
    pits: tuple[Pit, ...] = ()
    led: bool = False
    corridor_mm: float = 6.0

    @property
    def slits(self) -> tuple[RubberLoop, ...]:
        """The rubber that has to be slit once the lips are open, in the order of its numbers."""
        return tuple(loop for loop in self.loops if loop.matters and loop.line >= 0)
