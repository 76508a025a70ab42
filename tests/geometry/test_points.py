"""Points in one pass: how far they reach, and where a motion takes them."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.points import moved, span


@pytest.fixture(scope="module")
def points():
    return np.random.default_rng(3).normal(size=(400, 3))


def test_the_reach_is_that_of_the_points_along_each_axis(points) -> None:
    axes = np.array([[1.0, 0.0, 0.0], [0.6, 0.0, 0.8], [0.0, -2.0, 0.0], [0.1, 0.2, 0.3]])
    along = points @ axes.T
    found = span(points, axes)
    assert found == pytest.approx(np.array([along.min(axis=0), along.max(axis=0)]))
    assert np.array_equal(span(points, np.eye(3)), [points.min(axis=0), points.max(axis=0)])


def test_no_points_reach_nowhere() -> None:
    low, high = span(np.zeros((0, 3)), np.eye(3))
    assert (low == np.inf).all()
    assert (high == -np.inf).all()


def test_a_motion_turns_and_shifts(points) -> None:
    turn, shift = np.linalg.qr(points[:3])[0], np.array([3.0, -1.0, 7.0])
    assert moved(points, turn, shift) == pytest.approx(points @ turn.T + shift)
    assert np.array_equal(moved(points[::2], np.eye(3)), points[::2])
