"""Small stills of the mould in each move, seen along the axis it is tipped about, as outlines."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from partline.air.trapped_air import TrappedAir
from partline.faces import shapes
from partline.faces.air_caps import air_bodies
from partline.faces.discs import mouth_outlines
from partline.faces.played_air import played_air
from partline.faces.resin_moves import Step, moves
from partline.faces.silhouette import silhouette
from partline.geometry.directions import side, tipped_up
from partline.geometry.surface import Floats
from partline.plan import Plan

# Outlines may be off by so much: a still is a quarter of true size.
_WITHIN_MM = 0.2


@dataclass(frozen=True, eq=False)
class Still:
    """What is seen of one move; (k, 2) points to the right and up the paper [mm].

    Attributes
    ----------
    block, piece, air : tuple of (k, 2) float64
        Outlines of the rubber, of what is cast, and of all visible air.
    mouth : (2, 2) float64
        From end to end of the mouth.
    """

    block: tuple[Floats, ...]
    piece: tuple[Floats, ...]
    air: tuple[Floats, ...]
    mouth: Floats


@lru_cache(maxsize=2)
def move_stills(plan: Plan) -> tuple[Still, ...]:
    """Return a still of each of `moves`: tipped, the side that goes down on the right."""
    steps = moves(plan)
    return tuple(_still(plan, step, air)
                 for step, air in zip(steps, played_air(plan)[1:], strict=True))  # fmt: skip


def _still(plan: Plan, step: Step, air: TrappedAir) -> Still:
    # Level, the front is on the left, so that little is hidden by it.
    azimuth = 180.0 if step.azimuth_deg is None else step.azimuth_deg
    up = tipped_up(azimuth, step.tilt_deg, "resin")
    toward = np.cross(side(azimuth, "resin"), tipped_up(azimuth, 0.0, "resin"))
    right = np.cross(up, toward)
    cavity = plan.stand.cavity.surface
    bodies = [s for b in air_bodies(cavity, air) for s in (b.ceiling, b.lid) if len(s.faces)]
    ring = np.vstack([np.column_stack([o, np.zeros(len(o))]) for o in mouth_outlines(plan)])
    across = ring @ np.column_stack([right, up])
    ends = across[[int(np.argmin(across[:, 0])), int(np.argmax(across[:, 0]))]]
    return Still(
        silhouette(shapes.block(plan.container), right, up, within_mm=_WITHIN_MM),
        silhouette(cavity, right, up, within_mm=_WITHIN_MM),
        silhouette(shapes.together(bodies), right, up, within_mm=_WITHIN_MM) if bodies else (),
        ends,
    )
