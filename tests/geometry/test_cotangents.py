"""Cotangents of corners, and the matrix that is made of them, against plain arrays."""

import numpy as np
import pytest
from scipy import sparse

from partline.geometry.cotangents import corner_weights, gathered
from partline.geometry.surface import Surface


def test_corners_of_a_known_triangle() -> None:
    # Sides 3, 4 and 5: right angle at the second corner.
    halves, areas = corner_weights(Surface([[3, 0, 0], [0, 0, 0], [0, 4, 0]], [[0, 1, 2]]))
    assert halves[0] == pytest.approx([3 / 8, 0.0, 4 / 6])
    assert areas[0] == pytest.approx(24.0)


def test_rows_are_sums_over_the_faces_even_where_these_are_odd() -> None:
    # Faces at random: some name a vertex twice, many edges have more than two faces.
    rng = np.random.default_rng(0)
    surface = Surface(rng.normal(size=(60, 3)), rng.integers(0, 60, size=(300, 3)))
    halves, areas = corner_weights(surface)
    mass, laplacian = gathered(surface, halves, areas)
    rows = surface.faces[:, [1, 2, 0]].ravel()
    columns = surface.faces[:, [2, 0, 1]].ravel()
    off = sparse.coo_array((halves.ravel(), (rows, columns)), shape=(60, 60)).toarray()
    off = off + off.T
    np.testing.assert_allclose(laplacian.toarray(), np.diag(off.sum(axis=1)) - off, atol=1e-9)
    expected = np.bincount(surface.faces.ravel(), np.repeat(areas / 12.0, 3), 60)
    np.testing.assert_allclose(mass, expected)
