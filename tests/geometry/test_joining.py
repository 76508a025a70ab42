"""Groups of numbers against connected components of another library."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from partline.geometry.joining import joined


def test_groups_are_connected_components_in_order_of_their_smallest() -> None:
    rng = np.random.default_rng(6)
    for count, pairs in ((1, 0), (50, 0), (200, 90), (200, 400)):
        drawn = rng.integers(0, count, (pairs, 2))
        label, groups = joined(drawn, count)
        table = coo_matrix((np.ones(pairs), drawn.T), (count, count))
        expected, other = connected_components(table, directed=False)
        assert groups == expected
        first = np.unique(label, return_index=True)[1]
        assert (np.diff(first) > 0).all()
        assert len(np.unique(label * count + other)) == groups
