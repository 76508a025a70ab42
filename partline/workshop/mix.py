"""A mix: parts by weight, and what the scale reads as each goes in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Mix:
    """Parts in the order they go into the cup, small part first.

    Attributes
    ----------
    parts : tuple of str
        Names, e.g. ("hardener", "rubber").
    grams : tuple of float
        Grams of each, to the scale's resolution [g].
    scale_reads : tuple of float
        Running totals with the cup zeroed: what the scale shows after each part [g].
    total_g : float
        The whole mix as weighed [g].
    ratio_error : float
        Greatest relative error of a part after rounding to the scale [1].
    words : tuple of str
        E.g. "cup on, zero; hardener to 27.0; rubber to 297.0".
    extras : tuple of str
        Those of the parts that are pigment or filler and do not count in the ratio.
    """

    parts: tuple[str, ...]
    grams: tuple[float, ...]
    scale_reads: tuple[float, ...]
    total_g: float
    ratio_error: float
    words: tuple[str, ...]
    extras: tuple[str, ...] = ()
