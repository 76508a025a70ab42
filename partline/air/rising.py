"""How fast a bubble rises."""

from __future__ import annotations

GRAVITY = 9806.65  # standard gravity, NIST SP 811 [mm/s^2]
# Above about this diameter a bubble is no small sphere any more and the law says too much [mm].
LARGEST_MM = 1.5


def rise_mm_s(
    diameter_mm: float, *, viscosity_pa_s: float, density: float, clean: bool = False
) -> float:
    """Return the speed of a small bubble [mm/s], an estimate.

    v = rho g d^2 / (18 mu) for a bubble that behaves as a rigid ball (Stokes 1851), / (12 mu)
    for a clean one (Hadamard 1911, Rybczynski 1911); good below a Reynolds number of about 0.5.
    Larger bubbles are counted as one of 1.5 mm.

    Parameters
    ----------
    diameter_mm : float
        [mm]
    viscosity_pa_s : float
        Of the liquid [Pa s].
    density : float
        Of the liquid [g/cm^3].
    clean : bool
        Nothing clings to its skin.

    References
    ----------
    Clift, Grace and Weber (1978), Bubbles, Drops and Particles.
    """
    d = min(diameter_mm, LARGEST_MM)
    # g/cm^3 is 1e-6 kg/mm^3, and Pa s is 1e-3 kg/(mm s).
    return density * 1e-6 * GRAVITY * d * d / ((12.0 if clean else 18.0) * viscosity_pa_s * 1e-3)
