"""Prices on arcs: against a dictionary filled arc by arc."""

import numpy as np
from scipy.sparse import csr_matrix

from partline.geometry.wiring import cheapest_arcs, open_entries, wiring_of


def test_each_pair_costs_what_its_cheapest_arc_does():
    rng = np.random.default_rng(4)
    n, a = 40, 300
    start = rng.integers(0, n, a).astype(np.int32)
    stop = ((start + rng.integers(1, n, a)) % n).astype(np.int32)
    across = np.column_stack([rng.integers(0, n, a), rng.integers(0, n, a)]).astype(np.int32)
    share, length = rng.uniform(size=a), rng.uniform(1, 2, a)
    first = share * length
    density = np.where(rng.uniform(size=n) < 0.2, np.inf, rng.uniform(1, 5, n))
    wiring = wiring_of(start, stop, n)
    arc, price = cheapest_arcs(
        density, start, stop, across, share, length, first, wiring.order, wiring.begins
    )
    expected: dict[tuple[int, int], float] = {}
    for k in range(a):
        d = [density[start[k]], density[stop[k]], density[across[k, 0]], density[across[k, 1]]]
        if not np.isfinite(d).all():
            continue
        middle = (1 - share[k]) * d[2] + share[k] * d[3]
        cost = first[k] * (d[0] + middle) / 2 + (length[k] - first[k]) * (middle + d[1]) / 2
        pair = (int(min(start[k], stop[k])), int(max(start[k], stop[k])))
        expected[pair] = min(cost, expected.get(pair, np.inf))
    found = {(int(k // n), int(k % n)): p for k, p in zip(wiring.keys, price, strict=True)}
    assert {pair: p for pair, p in found.items() if np.isfinite(p)} == expected
    served = {(int(min(start[k], stop[k])), int(max(start[k], stop[k]))) for k in arc}
    assert served == set(found)
    matrix = csr_matrix(open_entries(price, wiring.starts, wiring.columns, wiring.pair), (n, n))
    assert matrix.has_canonical_format
    dense = np.zeros((n, n))
    for (one, two), cost in expected.items():
        dense[one, two] = dense[two, one] = cost
    np.testing.assert_array_equal(matrix.toarray(), dense)


def test_no_arcs_are_no_pairs():
    none = np.zeros(0, dtype=np.int32)
    wiring = wiring_of(none, none, 3)
    assert len(wiring.keys) == 0
    assert wiring.starts.tolist() == [0, 0, 0, 0]
