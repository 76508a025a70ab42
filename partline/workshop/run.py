"""The run: how many pulls, moulds and days for so many good castings."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Run:
    """A run of castings.

    Attributes
    ----------
    good : int
        Good castings wanted.
    pulls : int
        Castings to make, bad ones included.
    blocks : int
        Moulds to make.
    days : int
        Working days, the making of the moulds included.
    bottleneck : str
        What limits it: "mould life", "pulls per day", ...
    """

    good: int
    pulls: int
    blocks: int
    days: int
    bottleneck: str
