"""Resin for one casting: what fills the cavity, and what must be mixed for it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.mix import Mix
from partline.workshop.mixing import mix


@dataclass(frozen=True, eq=False)
class Resin:
    """Resin for one casting.

    Attributes
    ----------
    casting_g : float
        The piece and the foot block [g].
    mix_g : float
        To mix for one casting, loss in the cup included [g].
    density : float
        Density used [g/cm^3].
    mix : Mix or None
        None when the label's ratio is not given; the sheet asks for it.
    """

    casting_g: float
    mix_g: float
    density: float
    mix: Mix | None


def resin_for(
    cavity_volume_mm3: float,
    density: float,
    *,
    loss_share: float | None = None,
    loss_least_g: float | None = None,
    parts: Mapping[str, float] | None = None,
    by: str = "weight",
    part_densities: Mapping[str, float] | None = None,
    extras: Mapping[str, float] | None = None,
    extras_in: str | None = None,
    resolution_g: float = 0.1,
) -> Resin:
    """Return the resin for one casting.

    Parameters
    ----------
    cavity_volume_mm3 : float
        Piece and foot block [mm^3].
    density : float
        Of the cured resin [g/cm^3].
    loss_share : float, optional
        What stays in the mixing cup, as a share of the casting [1].
    loss_least_g : float, optional
        But at least so much [g].
    parts, by, part_densities, extras, extras_in, resolution_g
        The label's ratio and the scale, as for `mix`; without parts no mix is given.

    Raises
    ------
    WorkshopError
        If a figure cannot be.
    """
    known = defaults()
    share = known.value("casting.loss_share") if loss_share is None else loss_share
    least = known.value("casting.loss_least_g") if loss_least_g is None else loss_least_g
    for key, value, low in (("cavity_volume_mm3", cavity_volume_mm3, 0.0),
                            ("density", density, 0.0)):  # fmt: skip
        if not math.isfinite(value) or value <= low:
            raise WorkshopError(f"{key} is {value:g}; it must be more than 0.")
    if not 0 <= share < 1 or not 0 <= least < 1e6:
        raise WorkshopError(f"A loss of {share:g} of the casting, at least {least:g} g, cannot be.")
    casting = cavity_volume_mm3 / 1000.0 * density
    total = casting + max(share * casting, least)
    weighed = None
    if parts is not None:
        weighed = mix(total, parts, by=by, densities=part_densities, extras=extras,
                      extras_in=extras_in, resolution_g=resolution_g)  # fmt: skip
    return Resin(casting, total, density, weighed)
