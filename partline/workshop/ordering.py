"""What to order for a run: rubber, resin and pigment, with what is lost and some to spare."""

from __future__ import annotations

import math
from dataclasses import dataclass

from partline.errors import WorkshopError
from partline.workshop.mix import Mix


@dataclass(frozen=True)
class Item:
    """One material to order.

    Attributes
    ----------
    name : str
        "rubber", "resin" or "pigment".
    used_g : float
        What ends in blocks or castings [g].
    lost_g : float
        What stays in mixing cups [g].
    spare_g : float
        Ordered beyond that [g].
    order_g : float
        All of it [g].
    parts : tuple of (str, float)
        Each part of the mix and how much of it to order [g]; empty without the label's ratio.
    """

    name: str
    used_g: float
    lost_g: float
    spare_g: float
    order_g: float
    parts: tuple[tuple[str, float], ...]


def to_order(
    name: str, count: int, used_g: float, mixed_g: float, spare_share: float, mix: Mix | None = None
) -> Item:
    """Return what to order of a material for so many blocks or castings.

    Parameters
    ----------
    name : str
    count : int
        Blocks or castings.
    used_g, mixed_g : float
        What ends in one, and what is mixed for it [g].
    spare_share : float
        Beyond what is mixed [1].
    mix : Mix, optional
        Of one.

    Raises
    ------
    WorkshopError
        If a figure cannot be.
    """
    figures = (used_g, mixed_g, spare_share)
    if count < 0 or not all(math.isfinite(f) and f >= 0 for f in figures) or mixed_g < used_g:
        raise WorkshopError(
            f"{count} times {used_g:g} g of {name}, {mixed_g:g} g mixed and {spare_share:g} to "
            "spare, cannot be."
        )
    mixed = count * mixed_g
    order = mixed * (1 + spare_share)
    parts: tuple[tuple[str, float], ...] = ()
    if mix is not None:
        whole = sum(mix.grams)
        parts = tuple((p, order * g / whole) for p, g in zip(mix.parts, mix.grams, strict=True))
    return Item(name, count * used_g, mixed - count * used_g, order - mixed, order, parts)
