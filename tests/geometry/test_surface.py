"""The surface and what it knows of itself."""

from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.geometry.surface import Surface

CUBE = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
QUADS = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
FACES = np.array([t for p, q, r, s in QUADS for t in ((p, q, r), (p, r, s))])


def test_a_cube() -> None:
    cube = Surface(CUBE, FACES)
    assert cube.face_areas == pytest.approx(np.full(12, 0.5))
    assert len(cube.edges) == 18
    assert (cube.edges[:, 0] < cube.edges[:, 1]).all()
    assert cube.extents == pytest.approx([1, 1, 1])
    # Angle weights do not see how the quads are cut: each corner's normal is its diagonal
    # (Baerentzen and Aanaes 2005).
    diagonal = (CUBE - 0.5) / np.sqrt(0.75)
    assert cube.vertex_normals == pytest.approx(diagonal, abs=1e-12)
    assert np.einsum("ij,ij->i", cube.face_normals, CUBE[FACES].mean(axis=1) - 0.5).min() > 0.3


def test_arrays_are_copies_and_read_only() -> None:
    points = CUBE.copy()
    cube = Surface(points, FACES)
    points[0] = 9.0
    assert cube.vertices[0] == pytest.approx([0, 0, 0])
    for array in (cube.vertices, cube.faces):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_a_face_without_area_has_no_normal() -> None:
    flat = Surface([[0, 0, 0], [1, 0, 0], [2, 0, 0]], [[0, 1, 2]])
    assert flat.face_normals.tolist() == [[0, 0, 0]]
    assert flat.vertex_normals.tolist() == [[0, 0, 0]] * 3


@pytest.mark.parametrize(
    ("vertices", "faces", "words"),
    [
        (CUBE[:, :2], FACES, "Vertices must"),
        (CUBE, FACES[:, :2], "Faces must"),
        (np.where(CUBE == 1, np.nan, CUBE), FACES, "7 of 8 vertices"),
        (CUBE, FACES + 1, "does not exist"),
        (CUBE, FACES - 1, "does not exist"),
    ],
)
def test_what_is_wrong_is_said(vertices: np.ndarray, faces: np.ndarray, words: str) -> None:
    with pytest.raises(ScanError, match=words):
        Surface(vertices, faces)


def test_normals_turn_along_with_a_moved_surface() -> None:
    """Asked for before the move or after it, they are the same; also at another scale."""
    angle = np.radians(37.0)
    turn = np.array([[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0],
                     [0, 0, 1]])  # fmt: skip
    place = np.eye(4)
    place[:3, :3], place[:3, 3] = 25.4 * turn @ np.diag([-1.0, 1.0, -1.0]), (1.0, 2.0, 3.0)
    asked, bare = Surface(CUBE, FACES), Surface(CUBE, FACES)
    before = asked.vertex_normals
    assert asked.moved(place).vertex_normals == pytest.approx(
        bare.moved(place).vertex_normals, abs=1e-12
    )
    assert np.abs(asked.moved(place).vertex_normals - before).max() > 0.5


def test_sides_of_faces_know_their_edges_and_a_moved_surface_keeps_them():
    tetrahedron = Surface(
        [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
    )
    sides = tetrahedron.edges[tetrahedron.face_edges]
    corners = tetrahedron.faces
    expected = np.sort(np.stack([corners, np.roll(corners, -1, axis=1)], axis=2), axis=2)
    np.testing.assert_array_equal(sides, expected)
    turned = np.eye(4)
    turned[:2, :2] = [[0, -1], [1, 0]]
    moved = tetrahedron.moved(turned)
    assert moved.edges is tetrahedron.edges
    assert moved.face_edges is tetrahedron.face_edges
    np.testing.assert_allclose(moved.vertices[1], [0, 1, 0], atol=1e-12)


def test_forgetting_changes_no_answer():
    cube = Surface(CUBE, [q for a, b, c, d in QUADS for q in ((a, b, c), (a, c, d))])
    edges, normals = cube.edges, cube.vertex_normals
    cube.forget()
    assert set(cube.__dict__) == {"vertices", "faces"}
    np.testing.assert_array_equal(cube.edges, edges)
    np.testing.assert_array_equal(cube.vertex_normals, normals)


def test_ring_lists_each_neighbour_once():
    tetrahedron = Surface(
        [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
    )
    starts, ring = tetrahedron.ring
    for v in range(4):
        assert sorted(ring[starts[v] : starts[v + 1]]) == [w for w in range(4) if w != v]
