from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.tipping import plan_tipped_fill
from partline.errors import CavityError
from partline.geometry.solids import to_surface

DOWN = (0.0, 0.0, -1.0)


SLOPE = 20.0


def mould(*, refine: float = 1.5) -> Cavity:
    """A column with an arm whose closed end is high; the resin pour: mouth at z = 0, up -Z.

    The arm leaves the column toward +x and rises by 20 degrees: filled level it holds air; with
    its end lowered by more than that it does not.
    """
    column = Manifold.cube((12, 12, 40), True).translate((0, 0, 20))
    arm = Manifold.cube((20, 6, 6)).translate((0, -3, -3)).rotate((0, SLOPE, 0))
    surface, _ = to_surface((column + arm.translate((0, 0, 30))).refine_to_length(refine))
    return Cavity(surface, np.flatnonzero(surface.vertices[:, 2] < 1e-9))


def test_lowering_the_arm_while_filling_leaves_no_air() -> None:
    cavity = mould()
    level = trapped_air(cavity, DOWN).volume_mm3
    assert level > 100.0
    fill = plan_tipped_fill(cavity, max_tilt_deg=60.0)
    assert fill.level_mm3 == pytest.approx(level)
    assert fill.left_mm3 == pytest.approx(0.0, abs=0.07)
    # The arm's side, +x, goes down: azimuth 90 as one looks into the mouth.
    assert abs(fill.azimuth_deg - 90.0) <= 45.0
    assert fill.tilt_deg >= SLOPE
    assert 0.3 < fill.filled_share < 1.0


def test_a_full_and_open_mould_may_not_be_tipped() -> None:
    cavity = mould()
    fill = plan_tipped_fill(cavity, max_tilt_deg=0.0)
    assert fill.tilt_deg == 0.0
    level = trapped_air(cavity, DOWN).volume_mm3
    assert fill.left_mm3 == fill.level_mm3 == pytest.approx(level)


def test_resin_in_and_topped_up_make_the_whole() -> None:
    cavity = mould()
    fill = plan_tipped_fill(cavity, max_tilt_deg=45.0)
    poured = fill.filled_share * cavity.volume_mm3 + fill.top_up_mm3
    assert poured + fill.left_mm3 == pytest.approx(cavity.volume_mm3, rel=1e-9)
    assert len(fill.left_in) == len(trapped_air(cavity, DOWN).pockets)
    assert sum(fill.left_in) == pytest.approx(fill.left_mm3)


def test_more_reach_never_leaves_more() -> None:
    cavity = mould()
    left = [plan_tipped_fill(cavity, max_tilt_deg=t).left_mm3 for t in (0.0, 30.0, 60.0)]
    assert left[1] <= left[0] + 0.07
    assert left[2] <= left[0] + 0.07


def test_turning_the_mould_turns_the_answer() -> None:
    cavity = mould()
    first = plan_tipped_fill(cavity, max_tilt_deg=60.0)
    # A quarter turn about the upright: +x goes to +y, azimuths 90 -> 180 in the resin pour.
    v = cavity.surface.vertices
    turned = type(cavity.surface)(
        np.column_stack([-v[:, 1], v[:, 0], v[:, 2]]), cavity.surface.faces
    )
    second = plan_tipped_fill(Cavity(turned, cavity.outlets), max_tilt_deg=60.0)
    assert second.left_mm3 == pytest.approx(first.left_mm3, abs=1e-6)
    assert second.tilt_deg == pytest.approx(first.tilt_deg)
    assert (second.azimuth_deg - first.azimuth_deg) % 360.0 == pytest.approx(90.0)


@pytest.mark.parametrize("tilt", [-1.0, 91.0])
def test_an_impossible_tip_says_why(tilt: float) -> None:
    with pytest.raises(CavityError, match="0 to 90"):
        plan_tipped_fill(mould(), max_tilt_deg=tilt)
