from __future__ import annotations

import numpy as np
import pytest

from partline.scan.holes import rims
from partline.scan.undersides import is_base, is_underside


def cut(ball, height):
    """The ball without what lies below a height."""
    return ball.kept(ball.vertices[ball.faces][:, :, 2].min(axis=1) >= height).compacted()


def test_a_ball_cut_off_is_a_base_where_an_edge_is_seen(ball):
    for height, sharp in ((-3.0, True), (-9.9, False)):
        draft = cut(ball, height)
        (rim,) = rims(draft)
        assert is_underside(draft, rim)
        assert is_base(rim) == sharp


def test_a_box_without_its_floor_has_a_base_and_without_its_lid_has_none(cube):
    for level in (280, 320):
        gone = (cube.vertices[cube.faces][:, :, 2] == level).all(axis=1)
        draft = cube.kept(~gone)
        (rim,) = rims(draft)
        assert is_underside(draft, rim) == (level == 280)
        assert is_base(rim)
        assert rim.fold_deg == pytest.approx(90)


def test_a_hole_above_the_lowest_place_is_no_underside(ball):
    middle = ball.vertices[ball.faces].mean(axis=1) / 10
    spot = np.array([0.0, np.sin(0.6), -np.cos(0.6)])
    draft = ball.kept(middle @ spot < np.cos(0.2)).compacted()
    (rim,) = rims(draft)
    assert rim.normal[2] < -0.5
    assert not is_underside(draft, rim)
