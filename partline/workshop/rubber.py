"""Rubber in the cup: the size of the cup to degas in, and how hard the master floats."""

from __future__ import annotations

import math

from partline.errors import WorkshopError
from partline.workshop.materials import defaults

GRAVITY = 9.80665  # m/s^2, standard gravity, exact (NIST SP 811)


def degassing_cup_mm3(rubber_mm3: float, ratio: float | None = None) -> float:
    """Return the volume of a cup in which rubber may rise while it is degassed [mm^3].

    Parameters
    ----------
    rubber_mm3 : float
        Rubber mixed [mm^3].
    ratio : float, optional
        Cup over rubber [1]; default four.

    Raises
    ------
    WorkshopError
        If the rubber or the ratio cannot be.
    """
    times = defaults().value("container.degassing_ratio") if ratio is None else ratio
    if not (math.isfinite(rubber_mm3) and rubber_mm3 > 0):
        raise WorkshopError(f"rubber_mm3 is {rubber_mm3:g}; it must be more than 0.")
    if not (math.isfinite(times) and times >= 1):
        raise WorkshopError(f"ratio is {times:g}; a cup smaller than its rubber cannot hold it.")
    return rubber_mm3 * times


def float_force_n(volume_mm3: float, master_density: float, rubber_density: float) -> float:
    """Return how hard a master pulls upward in liquid rubber [N]; negative if it sinks.

    Archimedes with rubber all round and below; what the glue or wax under it must hold.

    Parameters
    ----------
    volume_mm3 : float
        Of the master [mm^3].
    master_density, rubber_density : float
        [g/cm^3]; a hollow master counts with its weight over its outer volume.

    Raises
    ------
    WorkshopError
        If a figure is not more than 0.
    """
    for key, value in (("volume_mm3", volume_mm3), ("master_density", master_density),
                       ("rubber_density", rubber_density)):  # fmt: skip
        if not (math.isfinite(value) and value > 0):
            raise WorkshopError(f"{key} is {value:g}; it must be more than 0.")
    return (rubber_density - master_density) * 1e-6 * volume_mm3 * GRAVITY
