"""The foot block: the stub under the master that leaves the mouth and the reservoir."""

from __future__ import annotations

import numpy as np

from partline.geometry.solids import (
    Outline,
    area,
    grown,
    hull,
    loft,
    outer,
    to_solid,
    to_surface,
    width,
)
from partline.geometry.surface import Surface
from partline.stand.stand import FootBlock

DRAFT_DEG = 4.0  # common practice 3 to 5 degrees, no source
SLAB_RIM_MM = 3.0  # how far a slab reaches past the feet; common practice, no source
# A base with at least this share of the piece's own outline carries a block of its outline.
OWN_BASE_SHARE = 0.25
# The block reaches this far below the floor while solids are joined, so that no faces coincide.
BELOW_MM = 5.0


def block_kind(footprint: Outline, shadow_mm2: float) -> str:
    """Return "flared" for a piece with its own base, "slab" for small or several feet.

    Parameters
    ----------
    footprint : tuple of (k, 2) float64
        Outlines of the piece at the seat [mm].
    shadow_mm2 : float
        Area of the piece seen from above, its hull [mm^2].
    """
    feet = outer(footprint)
    own = len(feet) == 1 and area(feet) >= OWN_BASE_SHARE * shadow_mm2
    return "flared" if own else "slab"


def foot_block(
    under: Outline, *, kind: str, height_mm: float, draft_deg: float = DRAFT_DEG
) -> tuple[FootBlock, Surface]:
    """Return the foot block and the same solid carried below the floor.

    Parameters
    ----------
    under : tuple of (k, 2) float64
        Outline that the block's top must hold [mm].
    kind : str
        "flared": the outline itself, flaring; "slab": its hull, wider by a rim.
    height_mm : float
        Height of the seat above the floor [mm].
    draft_deg : float
        How much the sides flare toward the mouth [degrees].
    """
    top = outer(under)
    if kind == "slab":
        top = grown((hull(np.concatenate(top)),), SLAB_RIM_MM)
    bottom = outer(grown(top, height_mm * np.tan(np.radians(draft_deg)) + 1e-3))
    carried = loft(top, bottom, top_mm=height_mm, below_mm=BELOW_MM)
    surface, _ = to_surface(to_solid(carried).trim_by_plane((0.0, 0.0, 1.0), 0.0))
    block = FootBlock(
        surface=surface,
        kind=kind,
        height_mm=height_mm,
        top=top,
        bottom=bottom,
        width_mm=width(bottom),
    )
    return block, carried
