"""A post with two combs of detail round it, so that the best line up its back is known.

Unrolled, the post is a flat strip. One comb bars the way up to 190 degrees from the front mark,
the other, higher, from 170 degrees on; the shortest line goes straight up past the corner of the
first, slants to the corner of the second and goes straight up again.
"""

from __future__ import annotations

import numpy as np
from cut_solids import around, standing, turned

RADIUS_MM = 15.0
SIDES = 180
LOW_COMB = (25.0, 27.0)
HIGH_COMB = (40.0, 42.0)
STEP_MM = 0.5


def combed_post():
    """Return a stand under the post, and the detail weight of its vertices."""
    height = np.arange(0.0, 60.0 + STEP_MM / 2, STEP_MM)
    stand = standing(turned(np.column_stack([np.full_like(height, RADIUS_MM), height]), SIDES))
    low = around(stand.piece, *LOW_COMB, 143.5, 45.6)
    high = around(stand.piece, *HIGH_COMB, 216.5, 45.6)
    return stand, (low | high).astype(float)


def best_length_mm(seat_mm: float, end_mm: float) -> float:
    """Return the length of the best line, in closed form on the unrolled sides of the post."""
    across = 10 * 2 * RADIUS_MM * np.sin(np.pi / SIDES)  # 20 degrees, ten flat sides
    first, second = LOW_COMB[1] + STEP_MM, HIGH_COMB[0] - STEP_MM
    return float(first - seat_mm + np.hypot(second - first, across) + end_mm - second)
