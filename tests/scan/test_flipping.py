from __future__ import annotations

import numpy as np
from scipy.spatial import Delaunay

from partline.scan.flipping import flipped


def test_flips_reach_the_delaunay_triangulation():
    """Reference: Qhull through scipy, points in general position, from a bad triangulation."""
    rng = np.random.default_rng(5)
    angle = np.sort(rng.uniform(0, 2 * np.pi, 40))
    circle = np.column_stack([np.cos(angle), np.sin(angle)]) * rng.uniform(1, 1.0001, (40, 1))
    inner = rng.uniform(-0.5, 0.5, (60, 2))
    flat = np.vstack([circle, inner])
    good = Delaunay(flat)
    faces = good.simplices.astype(np.int64)
    a, b, c = (flat[faces[:, k]] for k in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces[turn < 0] = faces[turn < 0][:, [0, 2, 1]]
    points = np.column_stack([flat, np.zeros(100)])
    want = {tuple(sorted(face)) for face in faces.tolist()}
    # Spoil it: the same points stretched have another Delaunay triangulation.
    spoiled = flipped(points * [6.0, 1.0, 1.0], faces, 0)
    assert {tuple(sorted(face)) for face in spoiled.tolist()} != want
    back = flipped(points, spoiled, 0)
    assert {tuple(sorted(face)) for face in back.tolist()} == want
