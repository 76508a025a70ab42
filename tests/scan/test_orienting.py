from __future__ import annotations

import numpy as np
import pytest

from partline.errors import StandError
from partline.scan.orienting import direction, turning

AXES = [f"{sign}{axis}" for sign in "+-" for axis in "xyz"]


@pytest.mark.parametrize("up", AXES)
@pytest.mark.parametrize("front", AXES)
def test_every_pair_of_axes(up, front):
    if up[1] == front[1]:
        with pytest.raises(StandError, match="lie along one line"):
            turning(up, front)
        return
    turn = turning(up, front)
    np.testing.assert_array_equal(turn @ direction(up, "up"), [0, 0, 1])
    np.testing.assert_array_equal(turn @ direction(front, "front"), [0, -1, 0])
    assert np.linalg.det(turn) == 1


def test_a_rough_front_is_made_square():
    turn = turning((0, 0.904, 0.428), (0.1, 0.2, 1))
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-15)
    assert np.linalg.det(turn) == pytest.approx(1)
    front = turn @ np.array([0.1, 0.2, 1])
    assert front[0] == pytest.approx(0)
    assert front[1] < 0


@pytest.mark.parametrize(
    "written", ["0,0.6,-0.8", "0 .6 -.8", "[0.0, 6e-1, -0.8]", "(0; 3; -4)", " -0, +3 , -4. "]
)
def test_three_numbers_may_be_written(written):
    np.testing.assert_allclose(direction(written, "up"), (0, 0.6, -0.8), atol=1e-15)


def test_the_default_leaves_everything_in_place():
    np.testing.assert_array_equal(turning("+z", "-y"), np.eye(3))


@pytest.mark.parametrize(
    "bad",
    [
        "up",
        "",
        "+q",
        "0,0,0",
        "1,2",
        "1,2,3,4",
        "1,2,z",
        "[1 2",
        (0, 0, 0),
        (1, 2),
        (np.nan, 0, 1),
        None,
    ],
)
def test_what_is_no_direction(bad):
    with pytest.raises(StandError, match="up is"):
        direction(bad, "up")
