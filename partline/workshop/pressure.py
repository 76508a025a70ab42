"""The air in the shop: its pressure at altitude, on which every gauge reading rests."""

from __future__ import annotations

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
