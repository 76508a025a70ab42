"""The same normals as of the whole surface, for whichever vertices are asked."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.normals_at import normals_at
from partline.geometry.surface import Surface

trimesh = pytest.importorskip("trimesh")


def test_some_vertices_have_the_normals_of_the_whole_surface() -> None:
    ring = trimesh.creation.torus(10.0, 3.0)
    rng = np.random.default_rng(2)
    surface = Surface(ring.vertices + 0.1 * rng.standard_normal(ring.vertices.shape), ring.faces)
    some = rng.permutation(len(surface.vertices))[:200]
    np.testing.assert_allclose(normals_at(surface, some), surface.vertex_normals[some], atol=1e-12)


def test_a_vertex_without_faces_has_none_and_one_asked_for_twice_has_it_twice() -> None:
    surface = Surface([[0, 0, 0], [1, 0, 0], [0, 1, 0], [5, 5, 5]], [[0, 1, 2]])
    assert normals_at(surface, np.array([3, 0, 0])).tolist() == [[0, 0, 0], [0, 0, 1], [0, 0, 1]]
