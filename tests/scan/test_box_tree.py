"""Trees of boxes against every pair tried."""

from __future__ import annotations

import numpy as np

from partline.scan.box_tree import holding, meeting, tree_of


def test_meetings_and_held_points_are_those_of_every_pair():
    rng = np.random.default_rng(5)
    low = rng.uniform(0, 10, (301, 3))
    high = low + rng.uniform(0, 2, (301, 3))
    other = rng.uniform(0, 10, (97, 3))
    boxes = tree_of(low, high)
    wide = other + 0.3
    every = ((low[None] <= wide[:, None]) & (high[None] >= other[:, None])).all(axis=2)
    np.testing.assert_array_equal(meeting(boxes, other, wide), every.any(axis=1))
    within = ((low[:, None] < other[None]) & (other[None] < high[:, None])).all(axis=2)
    found = holding(boxes, other, 10_000)
    assert found is not None
    assert {tuple(pair) for pair in found.tolist()} == set(zip(*np.nonzero(within), strict=True))
    assert holding(boxes, other, int(within.sum()) - 1) is None


def test_more_is_held_than_there_was_room_for():
    count = 200
    boxes = tree_of(np.full((count, 3), -1.0), np.full((count, 3), 1.0))
    found = holding(boxes, np.zeros((50, 3)), 10**6)
    assert found is not None
    assert len(np.unique(found, axis=0)) == 50 * count
