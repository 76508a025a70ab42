"""Edges of known circles, shuffled, come back as those circles."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from partline.geometry.chaining import chained


def test_shuffled_circles_come_back_whole() -> None:
    rng = np.random.default_rng(1)
    first = np.cumsum([0, 3, 8, 5])
    rings = [np.arange(a, b) for a, b in pairwise(first)]
    edges = np.vstack([np.column_stack([r, np.roll(r, -1)]) for r in rings])
    edges = edges[rng.permutation(len(edges))]
    order, begins = chained(*edges.T)
    found = np.split(edges[order], begins[1:])
    assert sorted(len(c) for c in found) == [3, 5, 8]
    for chain in found:
        assert (chain[:, 1] == np.roll(chain[:, 0], -1)).all()


def test_where_circles_touch_every_edge_is_used_once_and_all_chains_close() -> None:
    edges = np.array([[0, 1], [1, 2], [2, 0], [0, 3], [3, 4], [4, 0], [1, 0], [0, 1]])
    order, begins = chained(*edges.T)
    assert sorted(order) == list(range(8))
    for chain in np.split(edges[order], begins[1:]):
        assert (chain[:, 1] == np.roll(chain[:, 0], -1)).all()


def test_no_edges_make_no_chains() -> None:
    nothing = np.zeros(0, dtype=np.int64)
    order, begins = chained(nothing, nothing)
    assert len(order) == len(begins) == 0
