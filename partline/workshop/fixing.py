"""Fixing the master down: how hard it floats, and what holds it."""

from __future__ import annotations

from dataclasses import dataclass

from partline.workshop.materials import Defaults
from partline.workshop.rubber import GRAVITY, float_force_n


@dataclass(frozen=True)
class FixDown:
    """What the fixing under the master must hold.

    Attributes
    ----------
    force_n : float
        Upward pull in liquid rubber; negative where it sinks; the most there can be where the
        master's density is not known [N].
    hold_g : float
        Weight the fixing should carry, hung upside down as a test [g].
    master_density : float or None
        As the user gave it [g/cm^3].
    rubber_density : float
        [g/cm^3]
    volume_mm3 : float
        Of master and foot block [mm^3].
    words : tuple of str
    """

    force_n: float
    hold_g: float
    master_density: float | None
    rubber_density: float
    volume_mm3: float
    words: tuple[str, ...]


def fix_down(
    volume_mm3: float, rubber_density: float, master_density: float | None, known: Defaults
) -> FixDown:
    """Return how hard a master floats and what to fix it down with.

    Parameters
    ----------
    volume_mm3 : float
        Of master and foot block [mm^3].
    rubber_density : float
        [g/cm^3]
    master_density : float or None
        Weight over outer volume [g/cm^3]; without it the most there can be, of an empty shell.
    known : Defaults

    Raises
    ------
    WorkshopError
        If a figure is not more than 0.
    """
    factor = known.value("container.fixing_factor")
    if master_density is None:
        force = 1e-6 * volume_mm3 * rubber_density * GRAVITY
    else:
        force = float_force_n(volume_mm3, master_density, rubber_density)
    pull_g = 1000.0 * force / GRAVITY
    hold = factor * max(0.0, pull_g)
    words = []
    if force > 0:
        most = "at most " if master_density is None else ""
        words.append(
            f"It floats up with {most}{force:.2g} N, as much as {pull_g:.0f} g weigh. The fixing "
            f"should hold {factor:g} times that ({hold:.0f} g): pull at it before pouring."
        )
    else:
        words.append("It is heavier than the rubber and stays down; fix it all the same, so that "
                     "no rubber runs under it.")  # fmt: skip
    if master_density is None:
        words.append("Its density was not given (master_density), so it counts as an empty shell.")
    words.append(
        "Hot glue under a print or a hard master; sticky wax or sulphur-free clay under wax, which "
        "hot glue melts. Close the seam all round."
    )
    return FixDown(force, hold, master_density, rubber_density, volume_mm3, tuple(words))
