"""Whether strokes of the blade are clear, and the way from one to the next: what that means."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from partline.card.approach import SPACING_MM
from partline.card.block import Block
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats

# The tip of a blade is about so long and thick that what it touches there is the line itself,
# not something in its way [mm]; from memory.
TIP_MM = 0.25


def clear_of(rays: Rays, feet: Floats, ends: Floats) -> NDArray[np.bool_]:
    """Tell which straight strokes run through nothing but rubber, but for their tips.

    From `TIP_MM` off its foot a stroke that is clear meets no face of the piece up to its end. The
    end lies outside the piece, so all of it beyond the tip does. Exact for the mesh.

    Parameters
    ----------
    rays : Rays
        Against piece and foot block together.
    feet, ends : (k, 3) float64
        On the piece and on the outside of the block, farther apart than the tip is long [mm].

    Returns
    -------
    (k,) bool
    """
    return _free(rays, feet, ends, TIP_MM)


def _free(rays: Rays, feet: Floats, ends: Floats, from_mm: float) -> NDArray[np.bool_]:
    ways = ends - feet
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-12)
    start = feet + from_mm * ways
    return np.asarray(rays.first(start, ends - start, nearest=0.0)[0] >= 1.0)


def barred(rays: Rays, feet: Floats, ends: Floats) -> NDArray[np.bool_]:
    """Tell where the piece stands between a stroke and the next: the blade cannot go across.

    Three strokes between them are tried, from `SPACING_MM` off the line on: on its way from foot
    to foot the line itself may go round an edge.

    Parameters
    ----------
    rays : Rays
    feet, ends : (k, 3) float64
        Of strokes along a line [mm].

    Returns
    -------
    (k - 1,) bool
    """
    shut = np.zeros(len(feet) - 1, dtype=bool)
    for share in (0.25, 0.5, 0.75):
        foot, end = ((1 - share) * row[:-1] + share * row[1:] for row in (feet, ends))
        shut |= ~_free(rays, foot, end, SPACING_MM)
    return shut


def let_out(
    block: Block, rays: Rays, feet: Floats, ways: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return where strokes come out of the block, and which are clear and come out where they may.

    They may by a side wall, and where a cut goes over the far face by that, but not in the part
    beside the hinge: across the mouth face a cut is only as deep as it is long.

    Parameters
    ----------
    block : Block
    rays : Rays
        Against piece and foot block together.
    feet, ways : (k, 3) float64
        On the piece [mm], and unit vectors from there.
    """
    inside = feet.copy()
    inside[:, 2] = np.clip(inside[:, 2], 0.0, block.height_mm)
    far = block.exits(inside, ways)
    ends = feet + far[:, None] * ways
    may = block.exits(inside, ways, sides_only=True) <= far + 1e-6
    if block.over is not None:
        may |= ends[:, 2] > block.height_mm - 1e-6
        may &= ends @ np.array(block.over.toward) <= block.over.never_past_mm + 1e-6
    clear = np.zeros(len(feet), dtype=bool)
    clear[may] = clear_of(rays, feet[may], ends[may])
    return ends, clear
