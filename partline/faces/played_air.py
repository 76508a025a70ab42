"""The air that is there in each step of the resin pour as it is played, and in any view."""

from __future__ import annotations

from functools import lru_cache

from partline.air.following import followed
from partline.air.pockets import trapped_air
from partline.air.trapped_air import TrappedAir
from partline.faces.resin_moves import moves
from partline.faces.tipping import air_of
from partline.faces.view import View
from partline.geometry.directions import tipped_up
from partline.plan import Plan


def air_shown(plan: Plan, view: View) -> TrappedAir:
    """Return the air of a view: what remains in the step that is played, else all of its pose."""
    return air_of(plan, view) if view.step is None else played_air(plan)[view.step]


@lru_cache(maxsize=2)
def played_air(plan: Plan) -> tuple[TrappedAir, ...]:
    """Return the air of each step of `playing.played`.

    Filled level; full to the rim while tipped; stood up and topped up; all of it under the cap
    while it is held tipped; and what is left upright.
    """
    steps, pour, cavity = moves(plan), plan.resin_pour, plan.stand.cavity
    if not steps:
        return ()
    level, rocking = pour.level, pour.rocking
    tips = rocking.moves if rocking is not None else ()
    tipped = steps[0].azimuth_deg is not None
    left = (pour.tipped.left_in if tipped and pour.tipped is not None
            else [p.volume_mm3 for p in level.pockets])  # fmt: skip
    found = followed(cavity, tips, left)
    fill = level
    if steps[0].azimuth_deg is not None:
        up = tipped_up(steps[0].azimuth_deg, steps[0].tilt_deg, "resin")
        fill = trapped_air(cavity, up, level="open")
    last = (found.moves[-1].upright,) if found.moves else ()
    return (level, fill, found.start, *(m.tipped for m in found.moves), *last)
