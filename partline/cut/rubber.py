"""What the rubber bears: working strain, stiffness, and what bending its lips costs."""

from __future__ import annotations

import math

# The most that hands stretch or bend a wall of rubber all at once: an uncut ring, or a lip laid
# open. Common practice, no source: a wall of 12 mm bent round 25 mm (24 %) opens comfortably.
HAND_STRAIN = 0.25
# Share of the elongation at break beyond which a stretch is only for freeing the master once.
# Common practice, no source.
FIRM_SHARE = 0.4


def working_strain(elongation_percent: float, working_share: float) -> float:
    """Return the strain [1] that a rubber bears at each pull: elongation at break x share."""
    if not elongation_percent > 0 or not 0 < working_share <= 1:
        raise ValueError("The elongation must be above 0 and the working share from 0 to 1.")
    return elongation_percent / 100 * working_share


def stiffness_mpa(shore_a: float) -> float:
    """Return Young's modulus [MPa] of a rubber from its Shore A hardness.

    Meant for 20 to 80; below that it is an extrapolation.

    References
    ----------
    Gent (1958), "On the relation between indentation hardness and Young's modulus".
    """
    if not 0 <= shore_a < 100:
        raise ValueError(f"A Shore A hardness lies between 0 and 100; this one is {shore_a}.")
    return 0.0981 * (56 + 7.62336 * shore_a) / (0.137505 * (254 - 2.54 * shore_a))


def lip_strain(
    *, count: int, narrow_mm: float, wide_mm: float, wall_mm: float, height_mm: float
) -> float:
    """Return the bending strain t / 2R [1] of the lips when a cut block is opened far enough.

    The lips must part by the girth that is missing at the narrowest ring. One cut opens the ring
    to the larger circle, so its wall is bent from the small radius to the large one; the lips also
    lean out over the height of the cut. Two cuts share the gap and open the block like a book,
    hinged at its floor: only the lean is left. An estimate.

    Parameters
    ----------
    count : int
        Number of cuts, 1 or 2.
    narrow_mm, wide_mm : float
        Girth of the narrowest ring and of the widest section that must pass it [mm].
    wall_mm : float
        Rubber beside the widest section [mm].
    height_mm : float
        From the mouth face to the end of the cut [mm].
    """
    gap = max(wide_mm - narrow_mm, 0.0)
    if gap == 0:
        return 0.0
    thickness = wall_mm + gap / math.tau
    lean = thickness * gap / (2 * count) / height_mm**2
    if count > 1:
        return lean
    return max(lean, thickness / 2 * (math.tau / narrow_mm - math.tau / wide_mm))
