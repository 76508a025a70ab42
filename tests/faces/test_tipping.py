"""Tips by dial and by drag: what goes down is what was dragged toward, and the air is exact."""

from __future__ import annotations

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.air.pockets import trapped_air
from partline.faces.dial import air_at, dial_picture
from partline.faces.tipping import (
    SHOWN,
    air_of,
    dragged,
    from_dial,
    on_dial,
    stepped,
    tip_line,
    tip_turn,
    up_of,
)
from partline.faces.view import View
from partline.geometry.directions import side


@pytest.fixture(scope="module")
def plan():
    return fake_plan()


@pytest.mark.parametrize("pour", ["rubber", "resin"])
@pytest.mark.parametrize("azimuth", [0.0, 37.0, 90.0, 200.0, 359.0])
def test_the_dial_goes_there_and_back(pour, azimuth):
    x, y = on_dial((azimuth, 12.0), pour, 30.0)
    assert np.hypot(x, y) == pytest.approx(0.4)
    again = from_dial(x, y, pour, 30.0)
    assert again == pytest.approx((azimuth, 12.0))


def test_the_front_is_at_the_bottom_and_azimuth_runs_clockwise_from_it():
    # Seen from above with the front toward one, a quarter clockwise from it is one's left.
    for pour in ("rubber", "resin"):
        assert on_dial((0.0, 30.0), pour, 30.0) == pytest.approx((0.0, -1.0), abs=1e-9)
        assert on_dial((90.0, 30.0), pour, 30.0) == pytest.approx((-1.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("pour", ["rubber", "resin"])
def test_the_side_that_is_dragged_toward_goes_down(plan, pour):
    tip = dragged(None, 100.0, 0.0, eye=(0.0, -1.0, 0.2), pour=pour, reach=30.0)
    view = View(pour=pour, tip=tip)
    turn = tip_turn(plan, view)
    # A point on the right of the picture sinks, one on the left rises by as much.
    middle = np.array([0.0, 0.0, plan.container.fill_height_mm / 2])
    right, left = (
        turn[:3, :3] @ (middle + np.array([x, 0, 0])) + turn[:3, 3] - middle for x in (10.0, -10.0)
    )
    assert right[2] < -1.0
    assert left[2] == pytest.approx(-right[2])
    near = dragged(None, 0.0, 100.0, eye=(0.0, -1.0, 0.2), pour=pour, reach=30.0)
    assert near[0] == pytest.approx(0.0)
    assert dragged(None, 9999.0, 0.0, eye=(0, -1, 0), pour=pour, reach=30.0)[1] == 30.0


@pytest.mark.parametrize("pour", ["rubber", "resin"])
def test_a_tip_shows_gravity_straight_down(plan, pour):
    view = View(pour=pour, tip=(120.0, 25.0))
    turn = tip_turn(plan, view)
    assert turn[:3, :3] @ (SHOWN[pour] * up_of(view)) == pytest.approx([0, 0, 1])
    assert np.linalg.det(turn[:3, :3]) == pytest.approx(1.0)
    assert side(120.0, pour) @ up_of(view) < 0
    assert tip_turn(plan, View(pour=pour)) is None


def test_the_air_of_a_tip_is_that_of_the_full_mesh(plan):
    view = View(pour="rubber", tip=(45.0, 20.0))
    found = air_of(plan, view)
    fresh = trapped_air(plan.stand.rubber_cavity, up_of(view))
    assert found.volume_mm3 == fresh.volume_mm3
    assert air_of(plan, View(pour="rubber")) is plan.rubber_pour.level
    assert "20° down" in tip_line(plan, view)


def test_arrow_keys_step_by_two_degrees():
    tip = stepped(None, "left", pour="rubber", reach=30.0)
    assert tip == pytest.approx((90.0, 2.0))
    assert stepped(tip, "right", pour="rubber", reach=30.0)[1] == pytest.approx(0.0, abs=1e-9)


def test_the_dial_shows_the_map_it_was_given(plan):
    found = plan.resin_pour.directions
    x, y = on_dial((found.azimuth_deg, found.tilt_deg), "resin", found.within_deg)
    assert air_at(found, np.array([0.0]), np.array([0.0]), "resin")[0] == pytest.approx(
        found.level_volume_mm3, rel=1e-3
    )
    picture = dial_picture(found, "resin", 60)
    assert picture.shape == (60, 60, 4)
    assert picture[0, 0, 3] == 0
    assert picture[30, 30, 3] == 255
    assert np.hypot(x, y) <= 1.0
