"""The air in the shop: its pressure at altitude, on which every gauge reading rests."""

from __future__ import annotations

import math

from partline.errors import WorkshopError
from partline.units import STANDARD_ATMOSPHERE_KPA


def local_kpa(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere at an altitude [kPa absolute].

    The weather moves the true value by about 1 inHg (3.4 kPa) either way.

    Parameters
    ----------
    altitude_m : float
        Height above the sea [m], -500 to 11 000.

    Raises
    ------
    WorkshopError
        Outside that range, where the formula does not hold.

    References
    ----------
    ISO 2533:1975, Standard Atmosphere, troposphere: p = p0 (1 - L h / T0)^(g M / R L), with
    T0 = 288.15 K, L = 6.5 K/km (constants from memory).
    """
    if not -500.0 <= altitude_m <= 11000.0:
        raise WorkshopError(
            f"An altitude of {altitude_m:g} m is outside the standard atmosphere's lowest layer "
            "(-500 m to 11 000 m)."
        )
    return float(STANDARD_ATMOSPHERE_KPA * (1.0 - 0.0065 * altitude_m / 288.15) ** 5.25588)


def planned_gauge_kpa(
    rating_kpa: float, *, here_kpa: float = STANDARD_ATMOSPHERE_KPA, share: float, usual_kpa: float
) -> float:
    """Return the gauge pressure to plan with: the usual one, never above the pot's own share.

    Parameters
    ----------
    rating_kpa : float
        What the pot's plate allows [kPa absolute].
    here_kpa : float
        Pressure of the air in the shop [kPa].
    share : float
        Share of the rated gauge pressure that is planned with, 0 to 1 [1].
    usual_kpa : float
        What the work would like [kPa above the air in the shop].

    Raises
    ------
    WorkshopError
        If the rating is no more than the air in the shop, or the share is not from 0 to 1.
    """
    if not 0.0 < share <= 1.0:
        raise WorkshopError(f"share is {share:g}; nothing is planned above a pot's rating.")
    if not (math.isfinite(rating_kpa) and rating_kpa > here_kpa):
        raise WorkshopError(
            f"A pot rated at {rating_kpa:g} kPa absolute holds no pressure above the air in the "
            f"shop ({here_kpa:.0f} kPa). Give what its plate says, with gauge."
        )
    return min(usual_kpa, share * (rating_kpa - here_kpa))


def bubble_share(gauge_kpa: float, *, here_kpa: float = STANDARD_ATMOSPHERE_KPA) -> float:
    """Return what is left of a bubble under pressure, by volume [1]; by diameter its cube root.

    Boyle's law at one temperature: V / V0 = p0 / (p0 + gauge). A vacuum counts as a negative
    gauge and swells it.

    Raises
    ------
    WorkshopError
        If the pressure is below an empty space.
    """
    if not (math.isfinite(gauge_kpa) and gauge_kpa > -here_kpa):
        raise WorkshopError(
            f"{gauge_kpa:g} kPa gauge is no pressure where the air presses with {here_kpa:.1f} kPa."
        )
    return here_kpa / (here_kpa + gauge_kpa)
