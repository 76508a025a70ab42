"""What the rubber bears: working strain, stiffness, and what bending its lips costs."""

from __future__ import annotations

import math

# The most that hands stretch or bend a thick wall of rubber all at once: an uncut block, or a lip
# laid open. Common practice, no source; a wall of 12 mm bent round 25 mm.
HAND_STRAIN = 0.25
# The same with effort, borne where it spares detail: a wall of 19 mm round 25 mm. As above.
EFFORT_STRAIN = 0.38
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
    *,
    count: int,
    off_middle: float,
    narrow_mm: float,
    wide_mm: float,
    across_mm: float,
    wall_mm: float,
    height_mm: float,
) -> float:
    """Return the bending strain t / 2R [1] of the lips when a cut block is laid open.

    The lips part by the width of the piece at the mouth and are held at the end of the cut: an
    arc of radius R that leans out by d over the height h, R = h^2 / 2d. With one cut up the
    middle of the back each lip leans by half the width; off the middle the narrow lip leans by
    up to all of it. Two cuts share it, the block opens like a book hinged at its floor. So a slim
    piece does with one. An estimate.

    Parameters
    ----------
    count : int
        Number of cuts, 1 or 2.
    off_middle : float
        How far a single cut lies from the middle of the back, 0 to 1 at the silhouette [1].
    narrow_mm, wide_mm : float
        Girth of the tightest ring and of the widest section that must pass it; the rubber there
        is thicker than the wall by the difference of their radii [mm].
    across_mm : float
        Width of the piece [mm].
    wall_mm : float
        Rubber beside the widest section [mm].
    height_mm : float
        From the mouth face to the end of the cut [mm].
    """
    thickness = wall_mm + max(wide_mm - narrow_mm, 0.0) / math.tau
    lean = across_mm / 4 if count > 1 else across_mm / 2 * (1 + off_middle)
    return thickness * lean / height_mm**2


def tearing_kj_m2(shore_a: float, stretch: float, crack_mm: float) -> float:
    """Return the energy [kJ/m^2] given up per area as a cut in stretched rubber grows.

    T = 2 k W c with k = 3 / sqrt(lambda) and the energy W of a neo-Hookean strip; an edge cut of
    depth c. Silicones for moulds bear about 5 to 15 kJ/m^2 (from memory).

    Parameters
    ----------
    shore_a : float
    stretch : float
        Of the rubber at the end of the cut [1].
    crack_mm : float
        Depth of the cut there [mm].

    References
    ----------
    Rivlin and Thomas (1953), "Rupture of rubber. I"; Greensmith (1963).
    """
    if stretch < 0 or crack_mm < 0:
        raise ValueError("The stretch and the depth of a cut must be 0 or more.")
    pulled = 1 + stretch
    energy = stiffness_mpa(shore_a) / 6 * (pulled**2 + 2 / pulled - 3)  # MPa = N/mm^2
    return 2 * 3 / math.sqrt(pulled) * energy * crack_mm  # N/mm = kJ/m^2
