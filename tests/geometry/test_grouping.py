"""Grouping: against a stable sort."""

import numpy as np

from partline.geometry.grouping import grouped


def test_groups_are_what_a_stable_sort_gives():
    owner = np.random.default_rng(0).integers(0, 50, 1000).astype(np.int32)
    starts, order = grouped(owner, 60)
    np.testing.assert_array_equal(order, np.argsort(owner, kind="stable"))
    np.testing.assert_array_equal(np.diff(starts), np.bincount(owner, minlength=60))


def test_nothing_has_no_groups():
    starts, order = grouped(np.zeros(0, dtype=np.int32), 2)
    assert starts.tolist() == [0, 0, 0]
    assert len(order) == 0
