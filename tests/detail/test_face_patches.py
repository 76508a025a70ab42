"""Patches round faces: flat skin does not lean, a cylinder as its curvature says."""

import numpy as np
import pytest
from bodies import plate, torus

from partline.detail.face_patches import faces_beside, patches, two_sides
from partline.geometry.surface import Surface


def _patches(surface: Surface, rounds: int, closed=None):
    sides = two_sides(surface)
    shut = np.zeros(len(sides), dtype=bool) if closed is None else closed
    beside = faces_beside(sides, shut, len(surface.faces))
    return patches(beside, surface.face_normals, surface.face_areas, rounds)


def test_sides_of_edges_of_a_tetrahedron_and_of_a_face_that_is_none():
    corners = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]
    faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
    whole = two_sides(Surface(corners, faces))
    # Each of six edges once from each of its two faces.
    assert sorted(whole.ravel()) == list(range(12))
    with_a_line = two_sides(Surface(corners, [*faces, [0, 0, 1]]))
    assert sorted(with_a_line[with_a_line[:, 0] >= 0].ravel()) == list(range(12))
    opened = two_sides(Surface(corners, faces[1:]))
    assert (opened[:, 0] >= 0).sum() == 3


def test_nothing_lies_beyond_a_closed_edge():
    body = plate(4, 4, 1.0, lambda x, _: 0 * x)
    sides = two_sides(body)
    closed = (body.vertices[body.edges, 0] == 2.0).all(axis=1)
    beside = faces_beside(sides, closed, len(body.faces))
    left = body.vertices[body.faces, 0].mean(axis=1) < 2.0
    there = beside >= 0
    assert (left[beside] == left[:, None])[there].all()
    assert (~there).sum() == 16 + 2 * 4  # around the plate, and along four edges from both sides


def test_flat_skin_does_not_lean_and_a_roof_does_only_across_its_ridge():
    roof = plate(20, 20, 0.5, lambda x, _: -np.abs(x - 10))
    across = _patches(roof, 4)
    ridge = np.abs(roof.vertices[roof.faces, 0].mean(axis=1) - 10) < 0.4
    assert across.lean_rad[ridge].min() > np.radians(25)
    closed = (roof.vertices[roof.edges, 0] == 10.0).all(axis=1)
    apart = _patches(roof, 64, closed)
    assert apart.lean_rad.max() < 1e-6
    np.testing.assert_allclose(apart.normals, roof.face_normals, atol=1e-9)


@pytest.mark.parametrize("rounds", [4, 16, 64])
def test_lean_is_the_width_of_the_patch_over_the_radius(rounds):
    # Even triangles round a wide ring, next to a cylinder of 20 mm: the normals round a face stray
    # as places do along the bend, 0.35 sqrt(rounds) edges of half a millimetre.
    body = torus(1000, 20, 0.5)
    some = Surface(*_cut(body, 40))
    found = _patches(some, rounds)
    middle = np.abs(some.vertices[some.faces].mean(axis=1)[:, 1]) < 3
    edge = float(np.sqrt(some.face_areas[middle].mean() * 4 / np.sqrt(3)))
    expected = 0.35 * np.sqrt(rounds) * edge / 20
    assert np.median(found.lean_rad[middle]) == pytest.approx(expected, rel=0.1)


def test_large_faces_count_by_their_area():
    # A sliver that leans by 60 degrees beside a face a thousand times its size.
    low, high = np.cos(np.radians(60)) * 1e-3, np.sin(np.radians(60)) * 1e-3
    body = Surface([[0, 0, 0], [0, 1, 0], [-1, 0.5, 0], [low, 0.5, -high]], [[0, 1, 2], [1, 0, 3]])
    assert _patches(body, 1).lean_rad.max() < np.radians(3)


def _cut(body: Surface, half_mm: float):
    """Return the vertices and faces near where y is 0 and x above."""
    middle = body.vertices[body.faces].mean(axis=1)
    return body.vertices, body.faces[(np.abs(middle[:, 1]) < half_mm) & (middle[:, 0] > 0)]
