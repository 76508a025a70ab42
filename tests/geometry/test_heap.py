"""The heap against Python's own, with costs that fall while nodes stand in it."""

from __future__ import annotations

import heapq

import numpy as np

from partline.geometry.heap import TAKEN, UNSEEN, put, take


def test_nodes_come_out_by_cost_though_it_falls_on_the_way() -> None:
    rng = np.random.default_rng(2)
    n = 300
    cost = rng.uniform(0, 1, n)
    heap, place, size = np.empty(n, dtype=np.int32), np.full(n, UNSEEN, dtype=np.int32), 0
    for v in rng.permutation(n)[:200]:
        size = put(heap, place, cost, size, v)
    taken = []
    for _ in range(60):
        v = take(heap, place, cost, size)
        size -= 1
        taken.append(v)
        standing = np.flatnonzero(place >= 0)
        assert len(standing) == size
        assert cost[v] <= cost[standing].min()
        u = int(rng.choice(standing))
        cost[u] *= rng.uniform()
        size = put(heap, place, cost, size, u)
    assert (place[taken] == TAKEN).all()
    rest = [(cost[v], v) for v in np.flatnonzero(place >= 0)]
    heapq.heapify(rest)
    while size:
        v = take(heap, place, cost, size)
        size -= 1
        assert (cost[v], v) == heapq.heappop(rest)
    assert not rest
