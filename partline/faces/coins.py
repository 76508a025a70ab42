"""A coin beside the piece, so that its size is seen before anything is made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from partline.geometry.surface import Surface


@dataclass(frozen=True)
class Coin:
    """A coin: what it is called, how wide and how thick [mm]."""

    name: str
    width_mm: float
    thick_mm: float


COINS: dict[Literal["mm", "inches"], Coin] = {
    # Council Regulation (EC) 975/98, annex I.
    "mm": Coin("1 euro coin, 23 mm", 23.25, 2.33),
    # 31 U.S.C. 5112 (a)(2): 0.955 inch; thickness as the United States Mint states it.
    "inches": Coin("US quarter, 0.96 in", 24.26, 1.75),
}


def standing_coin(coin: Coin, beside: Surface) -> Surface:
    """Return a coin on its edge, to the right of a piece, its face toward the front [mm]."""
    angle = 2 * np.pi * np.arange(72) / 72
    radius = coin.width_mm / 2
    round_ = radius * np.column_stack([np.cos(angle), np.zeros(72), np.sin(angle)])
    half = np.array([0.0, coin.thick_mm / 2, 0.0])
    low, high = beside.bounds
    middle = np.array([high[0] + 0.75 * coin.width_mm, (low[1] + high[1]) / 2, radius])
    points = np.vstack([round_ - half, round_ + half, -half, half]) + middle
    here, there = np.arange(72), (np.arange(72) + 1) % 72
    faces = [
        np.column_stack([here, there, np.full(72, 144)]),
        np.column_stack([there + 72, here + 72, np.full(72, 145)]),
        np.column_stack([here, here + 72, there]),
        np.column_stack([there, here + 72, there + 72]),
    ]
    return Surface(points, np.vstack(faces).astype(np.int32))
