from __future__ import annotations

import numpy as np
import pytest

from partline.scan.columns import winding_volumes
from partline.scan.draft import Draft
from partline.scan.turning import turned


def test_two_unit_balls_at_distance_one(ball, both):
    """Closed form: union 9 pi / 4, overlap 5 pi / 12, for unit balls one radius apart."""
    other = Draft(ball.vertices + np.array([0.0, 0.0, 10.0]), ball.faces, ball.file_faces)
    winding = winding_volumes(both(ball, other))
    assert winding.more / 1000 == pytest.approx(5 * np.pi / 12, rel=0.01)
    assert (winding.once + winding.more) / 1000 == pytest.approx(9 * np.pi / 4, rel=0.01)
    assert winding.backwards == 0
    assert winding.doubtful_share == pytest.approx(5 / 27, rel=0.01)


def test_a_cube_on_the_grid_of_lines_and_inside_out(cube):
    winding = winding_volumes(cube)
    assert winding.once == pytest.approx(64000, rel=0.01)
    assert winding.doubtful_share == 0
    back = winding_volumes(turned(cube, np.ones(12, dtype=bool)))
    assert back.backwards == pytest.approx(64000, rel=0.01)
    assert back.doubtful_share == 1


def test_a_sheet_on_edge_has_none():
    points = np.array([[0, 0, 0], [0, 0, 1.0], [0, 0, 2.0]])
    winding = winding_volumes(Draft(points, np.array([[0, 1, 2]]), np.zeros(1, dtype=np.int64)))
    assert winding.once == winding.more == 0
