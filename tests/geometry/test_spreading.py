"""Cheapest ways against the search of another library on a matrix of all arcs."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra
from test_paths import random_sphere

from partline.geometry.arcs import Arcs, arcs_of, price_of
from partline.geometry.spreading import spread

N = 400
ARCS = arcs_of(random_sphere(N))
RNG = np.random.default_rng(8)
DENSITY = np.where(RNG.uniform(size=N) < 0.1, np.inf, RNG.uniform(1, 4, N))
SOURCES = np.flatnonzero(np.isfinite(DENSITY))[[3, 100]]


def costs(arcs: Arcs, density: NDArray[np.float64], sources: NDArray[np.int64]) -> np.ndarray:
    """Return the cost of every vertex, by scipy."""
    best: dict[tuple[int, int], float] = {}
    for k in range(len(arcs.ends)):
        one, two = (int(v) for v in arcs.ends[k, :2])
        price = price_of(arcs.ends, arcs.form, k, density)
        if np.isfinite(price):
            for pair in ((one, two), (two, one)):
                best[pair] = min(price, best.get(pair, np.inf))
    rows, columns = np.array(list(best)).T
    matrix = csr_matrix((list(best.values()), (rows, columns)), (len(density),) * 2)
    return np.asarray(dijkstra(matrix, indices=sources, min_only=True))


def test_every_vertex_costs_what_another_search_says() -> None:
    ways = spread(ARCS, DENSITY, SOURCES)
    np.testing.assert_allclose(ways.cost, costs(ARCS, DENSITY, SOURCES), rtol=1e-12)
    assert ways.goal == -1
    for v in np.flatnonzero(np.isfinite(ways.cost)):
        chain = ways.chain(int(v))
        assert chain[0] in SOURCES
        assert ways.start(np.array([v]))[0] == chain[0]
        assert ways.branch[v] == (chain[1] if len(chain) > 1 else -1)
        assert (np.diff(ways.cost[chain]) > 0).all()


def test_a_search_that_stops_at_a_goal_or_a_limit_knows_what_is_nearer_only() -> None:
    whole = spread(ARCS, DENSITY, SOURCES)
    reached = np.flatnonzero(np.isfinite(whole.cost))
    goals = np.zeros(N, dtype=bool)
    goals[reached[np.argsort(whole.cost[reached])[150:160]]] = True
    until = spread(ARCS, DENSITY, SOURCES, until=goals)
    assert goals[until.goal]
    assert until.cost[until.goal] == whole.cost[goals].min()
    np.testing.assert_array_equal(until.chain(until.goal), whole.chain(until.goal))
    limit = float(until.cost[until.goal])
    for part in (until, spread(ARCS, DENSITY, SOURCES, limit=limit)):
        nearer = whole.cost <= limit
        np.testing.assert_array_equal(part.cost, np.where(nearer, whole.cost, np.inf))
        assert (part.before[~nearer] == -1).all()


def test_what_leads_to_the_goal_for_too_much_is_left_out() -> None:
    there = spread(ARCS, DENSITY, SOURCES[:1])
    goal = SOURCES[1:]
    back = spread(ARCS, DENSITY, goal)
    limit = 1.1 * float(there.cost[goal[0]])
    some = spread(ARCS, DENSITY, goal, limit=limit, beyond=there.cost)
    within = there.cost + back.cost <= limit
    assert 2 < within.sum() < 0.5 * N
    np.testing.assert_array_equal(np.isfinite(some.cost), within)
    np.testing.assert_array_equal(some.cost[within], back.cost[within])


def test_a_search_begun_from_a_rim_goes_on_as_if_it_had_come_from_afar() -> None:
    whole = spread(ARCS, DENSITY, SOURCES)
    inside = whole.cost > np.median(whole.cost[np.isfinite(whole.cost)])
    rim = np.flatnonzero(~inside & np.isfinite(DENSITY))
    part = spread(ARCS, DENSITY, rim, at_cost=whole.cost[rim], within=inside)
    np.testing.assert_allclose(part.cost[inside], whole.cost[inside], rtol=1e-12)


def test_of_a_vertex_named_twice_the_lesser_counts() -> None:
    ways = spread(ARCS, np.ones(N), [7, 7, 9], at_cost=[3.0, 1.0, 100.0])
    assert ways.cost[7] == 1.0
    assert ways.cost[9] == pytest.approx(1.0 + spread(ARCS, np.ones(N), [7]).cost[9])
