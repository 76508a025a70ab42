"""The container: the smallest that leaves wall and headroom everywhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Container:
    """A container that fits, and what it takes.

    Attributes
    ----------
    name : str
        E.g. "9 oz cup", "3 in pipe", "sheet box 70 x 82 mm".
    kind : str
        "cup" (round, tapered), "pipe" (round, straight) or "box" (four walls).
    own : bool
        From the user's own shelf.
    source : str
        Where its sizes come from: "measured by you", "from memory", ...
    floor_width_mm, rim_width_mm : float
        Inner width at the floor and the rim: diameter of a cup or pipe, side along x of a
        box [mm].
    floor_depth_mm : float
        Inner size along y at the floor; equal to the width unless it is a box [mm].
    height_mm : float
        Inner height from floor to rim [mm].
    floor_rise_mm : float
        How far the inner floor lies above the table (raised floors of cups) [mm].
    centre_mm : tuple of float
        Where its axis stands in the stand's pose, x and y [mm].
    fill_height_mm : float
        Height of the rubber above the inner floor [mm].
    fill_line_mm : float
        The same, measured down from the rim [mm].
    wall_mm : float
        The least wall it leaves anywhere [mm].
    capacity_mm3 : float
        Volume up to the fill line, empty [mm^3].
    rubber_volume_mm3 : float
        Capacity less piece and foot block [mm^3].
    rubber_g : float
        Rubber in the container [g].
    mix_g : float
        Rubber to mix, loss in the cup included [g].
    others : tuple of tuple (str, float)
        Other containers that fit, with their rubber [g], least first.
    lip_mm : float
        The least rubber beside the foot block [mm].
    turn_deg : float
        How far a box is turned about z against the piece, anticlockwise from above [degrees].
    wall_at_cut_mm : float or None
        The least rubber between a cut and the container, on the piece; None without a cut [mm].
    wanted_at_cut_mm : float or None
        What is wanted there if there is room [mm].
    ring_width_mm, ring_depth_mm : float
        Gutter round a raised floor; its rubber is counted [mm].
    words : tuple of str
        What to mind with this container.
    too_small : tuple of tuple (str, str)
        The user's own containers where none of them fits, each with why.
    """

    name: str
    kind: str
    own: bool
    source: str
    floor_width_mm: float
    rim_width_mm: float
    floor_depth_mm: float
    height_mm: float
    floor_rise_mm: float
    centre_mm: tuple[float, float]
    fill_height_mm: float
    fill_line_mm: float
    wall_mm: float
    capacity_mm3: float
    rubber_volume_mm3: float
    rubber_g: float
    mix_g: float
    others: tuple[tuple[str, float], ...]
    lip_mm: float = 0.0
    turn_deg: float = 0.0
    wall_at_cut_mm: float | None = None
    wanted_at_cut_mm: float | None = None
    ring_width_mm: float = 0.0
    ring_depth_mm: float = 0.0
    words: tuple[str, ...] = ()
    too_small: tuple[tuple[str, str], ...] = ()

    @property
    def density(self) -> float:
        """Density of the rubber that was weighed [g/cm^3]; 0 where there is none."""
        return 1e3 * self.rubber_g / self.rubber_volume_mm3 if self.rubber_volume_mm3 > 0 else 0.0
