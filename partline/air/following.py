"""Where air is while a full, capped mould is rocked: tipped in each move, and upright after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from partline.air.cavity import Cavity
from partline.air.holding import Holding
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.air.rocking_plan import Move
from partline.air.trapped_air import Pocket, TrappedAir
from partline.air.turning import Held, angles, at_mouth, carried, let_go, pose
from partline.errors import CavityError
from partline.geometry.directions import level_up, tipped_up

STEP_DEG = 5.0


@dataclass(frozen=True, eq=False)
class Moved:
    """One move of the mould.

    Attributes
    ----------
    tipped : TrappedAir
        All air under the cap while it is held tipped.
    upright : TrappedAir
        Air that is left in the piece when it stands upright again; what lies under the mouth has
        been let out and topped up.
    """

    tipped: TrappedAir
    upright: TrappedAir


@dataclass(frozen=True, eq=False)
class Followed:
    """The air of a mould that is rocked.

    Attributes
    ----------
    start : TrappedAir
        Air in the piece before the first move, upright.
    moves : tuple of Moved
    """

    start: TrappedAir
    moves: tuple[Moved, ...]


def followed(
    cavity: Cavity,
    moves: Sequence[Move],
    air_in: Sequence[float],
    *,
    step_deg: float = STEP_DEG,
    visible_mm: float = VISIBLE_MM,
) -> Followed:
    """Return where the air is in each move of the resin pour, and after it.

    Parameters
    ----------
    cavity : Cavity
    moves : sequence of Move
    air_in : sequence of float
        What each visible pocket of the upright pose holds to begin with [mm^3].
    step_deg : float
        The turning is followed in steps of at most this [degrees].
    visible_mm : float
        Smaller bubbles are not listed [mm].

    Raises
    ------
    CavityError
        If air is not given for each visible pocket.
    """
    level = pose(cavity, level_up("resin"), capped=True)
    pockets = trapped_air(cavity, level_up("resin"), visible_mm=visible_mm).pockets
    if len(air_in) != len(pockets):
        raise CavityError(
            f"Air is given for {len(air_in)} pockets; the upright mould has {len(pockets)}."
        )
    first = level.first_vertex
    loose = [(int(first[p.tops[0]]), v) for p, v in zip(pockets, air_in, strict=True)
             if np.isfinite(p.spill_level_mm)]  # fmt: skip
    held, found = let_go(level, loose), []
    start = bodies(cavity, level, held, visible_mm=visible_mm)
    for move in moves:
        way = [pose(cavity, tipped_up(move.azimuth_deg, t, "resin"), capped=True)
               for t in angles(move.tilt_deg, step_deg)]  # fmt: skip
        over = carried([level, *way], held)
        held = carried([*way[::-1], level], over)
        staying = Held(at_mouth(level, held)[1], 0.0)
        found.append(Moved(bodies(cavity, way[-1], over, visible_mm=visible_mm),
                           bodies(cavity, level, staying, visible_mm=visible_mm)))  # fmt: skip
    return Followed(start, tuple(found))


def bodies(cavity: Cavity, at: Holding, held: Held, *, visible_mm: float) -> TrappedAir:
    """Return the air of a pose as bodies with their levels, largest first.

    A pocket's spill level is then the level down to which its air reaches.
    """
    original, heights, tops = cavity.fans.original, at.work.heights, at.work.tops
    smallest = np.pi / 6.0 * visible_mm**3
    listed = sorted(held.bubbles.items(), key=lambda b: -b[1])
    pockets: list[Pocket] = []
    pocket_of = np.full(len(cavity.surface.vertices), -1, dtype=np.int32)
    for node, volume in (b for b in listed if b[1] >= smallest):
        level = at.level_of(node, volume)
        own = tops[at.leaves(node)]
        own = own[np.argsort(-heights[own], kind="stable")]
        pocket_of[original[at.vertices_above(node, level)]] = len(pockets)
        pockets.append(
            Pocket(
                volume_mm3=volume,
                apex=cavity.fans.vertices[own[0]].copy(),
                spill_level_mm=level,
                depth_mm=float(heights[own[0]] - level),
                neck_mm=0.0,
                wide_enough=True,
                narrow_volume_mm3=volume,
                tops=original[own],
            )
        )
    total = float(sum(held.bubbles.values()))
    return TrappedAir(
        up=at.up,
        volume_mm3=total,
        fine_mm3=total - float(sum(p.volume_mm3 for p in pockets)),
        narrow_volume_mm3=total,
        closed_mm3=0.0,
        top_up_mm3=0.0,
        pockets=tuple(pockets),
        level="brim",
        pocket_of=pocket_of,
    )
