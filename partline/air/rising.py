"""How fast a bubble rises, and whether it leaves in time."""

from __future__ import annotations

import math
from dataclasses import dataclass

from partline.errors import CavityError

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


@dataclass(frozen=True)
class Rise:
    """Whether a bubble leaves before the liquid thickens; an estimate.

    Attributes
    ----------
    diameter_mm : float
        [mm]
    speed_mm_s : float
        [mm/s]
    height_mm : float
        From the far end to the open surface [mm].
    needs_s : float
        To rise so far [s].
    has_s : float or None
        Until it thickens; None where that is not known [s].
    """

    diameter_mm: float
    speed_mm_s: float
    height_mm: float
    needs_s: float
    has_s: float | None

    @property
    def in_time(self) -> bool | None:
        """Whether it leaves from the far end in time; None where that is not known."""
        return None if self.has_s is None else self.needs_s <= self.has_s

    @property
    def reach_mm(self) -> float | None:
        """From how deep it still leaves in time [mm]; None where that is not known."""
        return None if self.has_s is None else min(self.height_mm, self.speed_mm_s * self.has_s)


def rise_of(
    diameter_mm: float,
    height_mm: float,
    has_s: float | None,
    *,
    viscosity_pa_s: float,
    density: float,
) -> Rise:
    """Return whether a bubble rises so far in the time there is; units as `rise_mm_s`.

    Raises
    ------
    CavityError
        If a size, the viscosity or the density is not above 0, or the time is below it.
    """
    for name, value in (
        ("diameter", diameter_mm),
        ("height", height_mm),
        ("viscosity", viscosity_pa_s),
        ("density", density),
    ):
        if not (math.isfinite(value) and value > 0):
            raise CavityError(f"A bubble's {name} of {value:g} cannot be; say more than 0.")
    if has_s is not None and not (math.isfinite(has_s) and has_s >= 0):
        raise CavityError(f"A bubble has {has_s:g} s to leave, which cannot be; say 0 or more.")
    speed = rise_mm_s(diameter_mm, viscosity_pa_s=viscosity_pa_s, density=density)
    return Rise(diameter_mm, speed, height_mm, height_mm / speed, has_s)
