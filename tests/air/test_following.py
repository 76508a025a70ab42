"""Where air is in each move: the same air as the plan's, as bodies with levels."""

from __future__ import annotations

import numpy as np
import pytest
from serpentine import serpentine

from partline.air.following import followed
from partline.air.pockets import trapped_air
from partline.air.rocking import plan_rocking
from partline.air.rocking_plan import Move
from partline.errors import CavityError
from partline.faces.air_caps import air_bodies
from partline.geometry.surface import Surface
from partline.geometry.volume import volume

DOWN = (0.0, 0.0, -1.0)


def test_what_is_left_is_what_the_plan_says() -> None:
    cavity = serpentine(2)
    air = [p.volume_mm3 for p in trapped_air(cavity, DOWN).pockets]
    plan = plan_rocking(cavity, max_tilt_deg=20, max_moves=3)
    found = followed(cavity, plan.moves, air, step_deg=plan.step_deg)
    moved = found.moves
    assert [p.volume_mm3 for p in found.start.pockets] == pytest.approx(air, rel=1e-9)
    assert [m.upright.volume_mm3 for m in moved] == pytest.approx(plan.after_each_mm3, abs=1e-6)
    # Capped, nothing is lost while it is tipped: what was there stays somewhere.
    assert moved[0].tipped.volume_mm3 == pytest.approx(sum(air), rel=1e-9)


def test_bodies_reach_down_to_the_level_that_holds_their_air() -> None:
    cavity = serpentine(2)
    half = [0.5 * p.volume_mm3 for p in trapped_air(cavity, DOWN).pockets]
    (moved,) = followed(cavity, [Move(90.0, 2.0, 0.0)], half).moves
    for air in (moved.tipped, moved.upright):
        assert len(air.pockets) >= 2
        closed = air_bodies(cavity.surface, air)
        for pocket, body in zip(air.pockets, closed, strict=True):
            skin, lid = body.ceiling, body.lid
            whole = Surface(
                np.vstack([skin.vertices, lid.vertices]),
                np.vstack([skin.faces, lid.faces + len(skin.vertices)]),
            )
            assert volume(whole) == pytest.approx(pocket.volume_mm3, rel=1e-3)


def test_air_for_pockets_that_are_not_there_is_said() -> None:
    with pytest.raises(CavityError, match="3 pockets"):
        followed(serpentine(1), [], [1.0, 2.0, 3.0])
