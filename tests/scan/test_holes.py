from __future__ import annotations

import numpy as np
import pytest

from partline.scan.holes import rims


def cut(ball, height):
    """The ball without the faces that reach above a height."""
    return ball.kept(ball.vertices[ball.faces][:, :, 2].max(axis=1) <= height).compacted()


def test_the_rim_of_a_cut_ball_is_its_circle(ball):
    (rim,) = rims(cut(ball, 6.0))
    points = cut(ball, 6.0).vertices[rim.loop]
    height = points[:, 2].mean()
    assert 4.5 < height <= 6.0
    circle = 2 * np.pi * np.sqrt(100 - height**2)
    # A jagged rim is longer than the circle it follows, by no more than a zigzag of 60 degrees.
    assert circle < rim.length < circle / np.cos(np.pi / 3)
    np.testing.assert_allclose(rim.normal, [0, 0, 1], atol=0.02)
    np.testing.assert_allclose(rim.place, [0, 0, height], atol=0.1)
    assert len(rim.loop) == len(np.unique(rim.loop))


@pytest.mark.parametrize("height", [-6.0, 0.0, 6.0, 9.0])
def test_the_fold_of_a_cut_ball_is_that_of_its_sphere(ball, height):
    """A flat cap meets a sphere at its polar angle; a zigzag rim blurs it by a few degrees."""
    (rim,) = rims(cut(ball, height))
    middle = cut(ball, height).vertices[rim.loop][:, 2].mean()
    assert rim.fold_deg == pytest.approx(np.degrees(np.arccos(middle / 10)), abs=8.0)


def test_a_sheet_folds_right_back_and_a_wall_stands_square(cube):
    sheet = cube.kept(np.arange(12) == 3)
    assert abs(rims(sheet)[0].fold_deg) == pytest.approx(180.0)
    low = (cube.vertices[cube.faces][:, :, 2] == 280).all(axis=1)
    (wall,) = rims(cube.kept(~low))
    assert wall.fold_deg == pytest.approx(90.0)


def test_two_holes_longest_first_and_flat(cube):
    draft = cube.kept(np.arange(12) != 3)
    (rim,) = rims(draft)
    assert rim.is_flat
    assert rim.length == pytest.approx(80 + 40 * np.sqrt(2))
    assert rim.area == pytest.approx(800)


def test_a_closed_mesh_has_none(ball):
    assert rims(ball) == []


def test_holes_that_touch_at_a_vertex_are_two(ball):
    """Two faces that share only a vertex, both taken out."""
    at = np.flatnonzero((ball.faces == 100).any(axis=1))
    first = at[0]
    apart = [f for f in at if len(set(ball.faces[f]) & set(ball.faces[first])) == 1]
    draft = ball.kept(~np.isin(np.arange(len(ball.faces)), [first, apart[0]]))
    assert [len(rim.loop) for rim in rims(draft)] == [3, 3]
