"""The seat: the plane at which the master is trimmed flat and meets the foot block."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.errors import StandError
from partline.geometry.solids import (
    Manifold,
    Outline,
    area,
    outer,
    outline_of,
    shape_of,
)
from partline.stand.mouth import MouthPatch

SINK_MM = 0.5  # trimmed off the underside so that it is flat; our own choice
# A seat smaller than this share of the piece's own outline is trimmed further ...
LEAST_SEAT_SHARE = 0.02
# ... but never deeper than this share of the height.
DEEPEST_SHARE = 0.03
# Piece and block share this much height while they are joined, so that no faces coincide.
SHARED_MM = 0.05


@dataclass(frozen=True, eq=False)
class Seat:
    """Where the piece meets the foot block, in the master's pose.

    Attributes
    ----------
    height_mm : float
        Height of the seat above the master's lowest point [mm].
    sink_mm : float
        What is trimmed off below it [mm]; 0 when the mouth is not the lowest place.
    footprint : tuple of (k, 2) float64
        Outlines at the seat, holes clockwise [mm].
    under : tuple of (k, 2) float64
        What the block's top must hold: the outline of the lowest sliver above the seat's joint,
        a hair wider than the footprint where the piece flares downward [mm].
    """

    height_mm: float
    sink_mm: float
    footprint: Outline
    under: Outline


def base_seat(solid: Manifold, *, shadow_mm2: float, sink_mm: float = SINK_MM) -> Seat:
    """Return the seat of a piece that stands on its base.

    The sink is deepened by itself while the piece would stand on a tip.

    Parameters
    ----------
    solid : Manifold
        The master with its lowest point at z = 0.
    shadow_mm2 : float
        Area of its hull seen from above [mm^2].
    sink_mm : float
        Least depth of the trim [mm].

    Raises
    ------
    StandError
        If the sink is not between nothing and a quarter of the height.
    """
    height = float(solid.bounding_box()[5])
    if not SHARED_MM < sink_mm < 0.25 * height:
        raise StandError(
            f"A sink of {sink_mm:g} mm cannot be trimmed off a piece {height:.1f} mm tall; "
            f"it must be more than {SHARED_MM} mm and less than a quarter of the height."
        )
    deepest = max(sink_mm, DEEPEST_SHARE * height)
    for depth in np.linspace(sink_mm, deepest, 6):
        footprint = outline_of(solid.slice(float(depth)))
        if area(footprint) >= LEAST_SEAT_SHARE * shadow_mm2:
            break
    if not outer(footprint):
        raise StandError(
            f"The piece has no section {depth:.2f} mm above its lowest point; it stands on a tip. "
            "Turn it, or state a deeper sink."
        )
    return Seat(float(depth), float(depth), footprint, _under(solid, float(depth)))


def mouth_seat(solid: Manifold, patch: MouthPatch, *, sink_mm: float = SINK_MM) -> Seat:
    """Return the seat of a piece whose mouth is a stated patch, facing down.

    Other parts may hang lower than the mouth; nothing is trimmed then, and the block rises
    past them to the patch.

    Raises
    ------
    StandError
        If the piece has no section there.
    """
    level = float(patch.centre[2]) + sink_mm
    shape = solid.slice(level)
    parts = [outline_of(p) for p in shape.decompose()]
    if not parts:
        raise StandError(
            f"The piece has no section {sink_mm:g} mm inside the stated mouth. Pick a face on "
            "solid material."
        )
    reach = [float(np.linalg.norm(p[0] - patch.centre[:2], axis=1).min()) for p in parts]
    footprint = parts[int(np.argmin(reach))]
    return Seat(level, 0.0, footprint, footprint)


def _under(solid: Manifold, depth: float) -> Outline:
    """Return the shadow of the sliver just below the seat, holes of the base filled."""
    # From above first: that leaves little to trim from below.
    sliver = solid.trim_by_plane((0.0, 0.0, -1.0), -depth).trim_by_plane(
        (0.0, 0.0, 1.0), depth - SHARED_MM
    )
    shape = shape_of(outer(outline_of(shape_of(outline_of(sliver.project())))))
    return outer(outline_of(shape.offset(0.01).simplify(0.005)))
