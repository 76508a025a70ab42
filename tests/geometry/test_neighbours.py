"""Edges and rings against plain Python."""

import numpy as np

from partline.geometry.neighbours import sorted_once
from partline.geometry.surface import Surface


def _edges(faces: np.ndarray) -> list[tuple[int, int]]:
    found = {tuple(sorted((int(f[k]), int(f[(k + 1) % 3])))) for f in faces for k in range(3)}
    return sorted(found)  # type: ignore[arg-type]


def test_edges_and_rings_of_any_faces() -> None:
    # Faces at random: some name a vertex twice, some vertices have no face.
    rng = np.random.default_rng(0)
    for n in (4, 60, 3000):
        faces = rng.integers(0, n, size=(2 * n, 3))
        surface = Surface(rng.normal(size=(n + 3, 3)), faces)
        expected = _edges(faces)
        assert [tuple(edge) for edge in surface.edges.tolist()] == expected
        starts, ring = surface.ring
        assert starts[-1] == len(ring) == 2 * len(expected)
        for v in rng.integers(0, n + 3, size=20):
            larger = [b for a, b in expected if a == v]
            smaller = [a for a, b in expected if b == v]
            assert ring[starts[v] : starts[v + 1]].tolist() == larger + smaller


def test_a_hub_with_many_spokes() -> None:
    n = 5000
    spokes = np.random.default_rng(1).permutation(n) + 1
    faces = np.column_stack([np.zeros(n, dtype=int), spokes, np.roll(spokes, -1)])
    surface = Surface(np.random.default_rng(2).normal(size=(n + 1, 3)), faces)
    assert surface.edges[:n].tolist() == [[0, k] for k in range(1, n + 1)]
    assert len(surface.edges) == 2 * n


def test_numbers_sorted_each_once() -> None:
    for size in (0, 1, 7, 300):
        numbers = np.random.default_rng(size).integers(0, 50, size=size).astype(np.int32)
        expected = np.unique(numbers)
        many = sorted_once(numbers)
        np.testing.assert_array_equal(numbers[:many], expected)
