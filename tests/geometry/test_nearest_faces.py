from __future__ import annotations

import igl
import numpy as np
import pytest
import trimesh

from partline.geometry.nearest_faces import nearest_faces
from partline.geometry.rays import build_tree
from partline.geometry.surface import Surface


def test_every_region_of_one_triangle():
    """Distances worked out by hand: over the inside, past each edge, past each corner."""
    tree = build_tree(Surface([[0, 0, 0], [4, 0, 0], [0, 3, 0]], [[0, 1, 2]]))
    points = [[1, 1, 2], [2, -3, 4], [-3, 1, 4], [4, 3, 0], [-3, -4, 0], [7, 0, 4], [0, 6, -4]]
    distance, face = nearest_faces(tree, np.array(points, dtype=float))
    assert distance == pytest.approx([2, 5, 5, 2.4, 5, 5, 5])
    assert (face == 0).all()


def test_distances_against_another_library():
    """Reference: libigl's point_mesh_squared_distance."""
    mesh = trimesh.creation.torus(10, 4, major_sections=40, minor_sections=20)
    vertices, faces = np.array(mesh.vertices), np.array(mesh.faces)
    points = np.random.default_rng(2).normal(0, 9, (3000, 3))
    distance, face = nearest_faces(build_tree(Surface(vertices, faces)), points)
    square, _, _ = igl.point_mesh_squared_distance(points, vertices, faces)
    np.testing.assert_allclose(distance, np.sqrt(square), atol=1e-12)
    corners = vertices[faces[face]]
    assert (np.linalg.norm(corners - points[:, None], axis=2).min(axis=1) >= distance - 1e-12).all()


def test_faces_without_area_are_points_and_lines():
    tree = build_tree(Surface([[0, 0, 0], [2, 0, 0], [4, 0, 0]], [[0, 1, 2], [0, 0, 0]]))
    distance, _ = nearest_faces(tree, np.array([[3.0, 1, 0], [-3, 4, 0]]))
    assert distance == pytest.approx([1, 5])


def test_a_triangle_with_corners_at_one_place_is_a_side_or_a_point():
    """The distance to a segment or a point, whichever corners coincide."""
    points = np.array([[0.5, 1.0, 0], [-3, 4, 0], [2.0, 0, 1]])
    truth = np.array([1.0, 5.0, np.sqrt(2.0)])
    for corners in ([0, 0, 1], [0, 1, 0], [1, 0, 0], [0, 1, 1], [1, 1, 0]):
        vertices = np.array([[0.0, 0, 0], [1, 0, 0]])[corners]
        distance, _ = nearest_faces(build_tree(Surface(vertices, np.array([[0, 1, 2]]))), points)
        np.testing.assert_allclose(distance, truth)
    single = Surface(np.zeros((3, 3)), np.array([[0, 1, 2]]))
    distance, _ = nearest_faces(build_tree(single), points)
    np.testing.assert_allclose(distance, np.linalg.norm(points, axis=1))
