from __future__ import annotations

import numpy as np
import pytest
from cut_solids import bollard, standing

from partline.cut.demould import demould
from partline.cut.layout import bearings, corridor, outside_of, rim_of
from partline.errors import NoPath


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
