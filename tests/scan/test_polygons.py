from __future__ import annotations

import numpy as np

from partline.scan.polygons import fanned, flattened


def test_areas_of_fans_add_up():
    angle = np.linspace(0, 2 * np.pi, 8)[:-1]
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    corners, sizes = flattened([list(range(7)), [0, 1, 2], [3, 4, 5, 6]])
    faces, number = fanned(corners, sizes)
    a, b, c = (ring[faces[:, k]] for k in range(3))
    area = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    # Regular heptagon: (7/2) sin(2 pi / 7); closed form.
    assert np.isclose(area[number == 0].sum(), 3.5 * np.sin(2 * np.pi / 7))
    np.testing.assert_array_equal(np.bincount(number), [5, 1, 2])


def test_nothing():
    faces, number = fanned(*flattened([]))
    assert faces.shape == (0, 3)
    assert len(number) == 0
