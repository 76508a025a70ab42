"""Normals against their definitions, in plain arrays."""

import numpy as np

from partline.geometry.normals import face_vectors, unit_vectors
from partline.geometry.surface import Surface


def _some(n: int = 500) -> Surface:
    rng = np.random.default_rng(0)
    return Surface(rng.normal(size=(n, 3)), rng.integers(0, n, size=(2 * n, 3)))


def test_faces() -> None:
    surface = _some()
    a, b, c = surface.vertices[surface.faces].transpose(1, 0, 2)
    vectors = face_vectors(surface.vertices, surface.faces)
    np.testing.assert_array_equal(vectors, np.cross(b - a, c - a))
    units = unit_vectors(vectors)
    length = np.linalg.norm(vectors, axis=1)
    np.testing.assert_allclose(units * length[:, None], vectors, atol=1e-12)
    assert (np.abs(np.linalg.norm(units, axis=1) - (length > 0)) < 1e-12).all()


def test_vertices_weigh_faces_by_the_angle_of_their_corner() -> None:
    surface = _some()
    sums = np.zeros_like(surface.vertices)
    for f, face in enumerate(surface.faces):
        for k in range(3):
            at = surface.vertices[face[k]]
            one, two = (surface.vertices[face[(k + j) % 3]] - at for j in (1, 2))
            angle = np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two)
            sums[face[k]] += angle * surface.face_normals[f]
    length = np.linalg.norm(sums, axis=1, keepdims=True)
    expected = np.divide(sums, length, out=np.zeros_like(sums), where=length > 0)
    np.testing.assert_allclose(surface.vertex_normals, expected, atol=1e-9)
