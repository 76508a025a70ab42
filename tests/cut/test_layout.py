from __future__ import annotations

import numpy as np
import pytest
from cut_solids import bollard, standing
from manifold3d import Manifold
from standing import box, master_of

from partline.cut.demould import demould
from partline.cut.layout import bearings, corridor, led_from_mouth, outside_of, rim_of
from partline.errors import NoPath
from partline.stand.placing import place


def test_bearings_go_clockwise_from_the_front_looking_into_the_mouth() -> None:
    stand = standing(bollard())
    rings = demould(stand.piece, stand.seat_mm)
    points = np.array([[0, -8, 20], [8, 0, 20], [0, 8, 20], [-8, 0, 20]], dtype=float)
    np.testing.assert_allclose(bearings(points, rings), [0, 90, 180, 270], atol=0.5)


def test_the_rim_is_the_edge_of_the_seat_and_the_underside_is_no_skin() -> None:
    stand = standing(bollard(sections=96))
    rim = rim_of(stand)
    assert len(rim) == 96
    np.testing.assert_allclose(stand.piece.vertices[rim, 2], stand.seat_mm)
    assert np.count_nonzero(~outside_of(stand)) == 1  # the middle of the flat underside


def test_corridors_begin_at_the_rim_and_end_at_the_height_on_their_side() -> None:
    stand = standing(bollard())
    rings = demould(stand.piece, stand.seat_mm)
    for name, sign in (("left", -1), ("right", 1)):
        way = corridor(stand, rings, name, 50.0)
        points = stand.piece.vertices
        assert (sign * points[way.sources, 0] > 0).all()
        assert (points[way.targets, 2] >= 50).all()
        assert not way.allowed[(points[:, 2] >= 50) & (sign * points[:, 0] < -2)].any()
        assert way.inward[np.abs(points[:, 0]) < 1e-6].min() > 1 - 1e-9
    back = corridor(stand, rings, "back", 50.0)
    assert back.inward.max() == 0
    assert (stand.piece.vertices[back.sources, 1] > 0).all()


def test_nothing_reaches_above_the_piece() -> None:
    stand = standing(bollard())
    rings = demould(stand.piece, stand.seat_mm)
    with pytest.raises(NoPath, match="nothing ends"):
        corridor(stand, rings, "left", 500.0)


def test_sides_are_told_from_the_mouth_where_it_lies_aside_of_the_piece() -> None:
    """A beam with a knob under its left end, which is the mouth, and a leg under the right one."""
    beam = box(80, 20, 20) + box(10, 10, 4).translate((5, 5, -3))
    beam = (beam + box(10, 20, 16).translate((70, 0, -15))).refine_to_length(2.0)
    assert isinstance(beam, Manifold)
    stand = place(master_of(beam), mouth="point", mouth_point=(-30.0, 0.0, 12.0))
    rings = demould(stand.piece, stand.seat_mm)
    end = stand.seat_mm + 15.0
    with pytest.raises(NoPath, match="the seat has no rim"):
        corridor(stand, rings, "back", end)
    led = led_from_mouth(rings, stand)
    places = stand.piece.vertices
    for name, way in (("back", (0, 1)), ("right", (1, 0)), ("left", (-1, 0))):
        found = places[corridor(stand, led, name, end).sources][:, :2]
        assert ((found - (-30.0, 0.0)) @ way).max() == pytest.approx(5.0, abs=0.1), name


def test_a_mouth_under_the_middle_changes_no_side() -> None:
    stand = standing(bollard())
    rings = demould(stand.piece, stand.seat_mm)
    np.testing.assert_allclose(led_from_mouth(rings, stand).centre, rings.centre, atol=1e-6)
