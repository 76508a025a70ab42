"""Which hole is the open underside that a piece stands on, and which only lies underneath."""

from __future__ import annotations

import numpy as np

from partline.scan.draft import Draft
from partline.scan.holes import Rim
from partline.scan.patching import LONGEST_RIM

# Choices of this tool, no published source:
# an underside faces down within 60 degrees, reaches the lowest fiftieth of the height, has
# nearly everything above it,
DOWN = 0.5
LOWEST = 0.02
ABOVE = 0.95
# and leaves a plane by no more than this share of its width.
UNEVEN = 0.2
# The skin meets a base at an edge: this sharp, or less so where the rim is cut flat [degrees].
SHARP_DEG = 60.0
SHARP_FLAT_DEG = 20.0


def is_underside(draft: Draft, rim: Rim) -> bool:
    """Whether a draft that stands in its pose (+Z up) could stand on this rim."""
    if rim.normal[2] > -DOWN or rim.unevenness > UNEVEN * rim.width:
        return False
    if len(rim.loop) > LONGEST_RIM or rim.length < 0.02 * draft.diagonal:
        return False
    bottom, top = draft.vertices[:, 2].min(), draft.vertices[:, 2].max()
    if draft.vertices[rim.loop, 2].min() > bottom + LOWEST * (top - bottom):
        return False
    height = (draft.vertices - np.array(rim.place)) @ rim.normal
    return bool((height <= rim.unevenness + 1e-9 * draft.diagonal).mean() >= ABOVE)


def is_base(rim: Rim) -> bool:
    """Whether the skin meets the rim of an underside at an edge, instead of running on into it.

    Then nothing but the flat cap is missing. A ball has to be cut off flat at a thirtieth of its
    surface before it counts as one, and a ragged rim needs an edge that leaves no doubt.
    """
    return abs(rim.fold_deg) >= (SHARP_FLAT_DEG if rim.is_flat else SHARP_DEG)
