from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.geometry.nearest import (
    corners_within,
    face_distances,
    nearest_face,
    nearest_on_outline,
)
from partline.geometry.surface import Surface

# The unit right triangle in the plane z = 0.
TRIANGLE = Surface([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2]])


@pytest.mark.parametrize(
    ("point", "distance"),
    [
        ((0.2, 0.2, 0.7), 0.7),
        ((0.2, 0.2, -0.7), 0.7),
        ((-1.0, -1.0, 0.0), np.sqrt(2)),
        ((0.5, -2.0, 0.0), 2.0),
        ((1.0, 1.0, 0.0), np.sqrt(0.5)),
        ((3.0, 0.0, 0.0), 2.0),
    ],
)
def test_distances_to_one_triangle(point: tuple[float, float, float], distance: float) -> None:
    assert face_distances(TRIANGLE, point) == pytest.approx([distance])


def test_a_face_without_area_counts_as_its_edges() -> None:
    sliver = Surface([[0, 0, 0], [2, 0, 0], [1, 0, 0]], [[0, 1, 2]])
    assert face_distances(sliver, (1.0, 3.0, 0.0)) == pytest.approx([3.0])


def test_nearest_is_the_face_below_even_when_its_middle_is_far() -> None:
    # A long face right under the point, and a small one whose middle is nearer.
    surface = Surface(
        [[0, 0, 0], [100, 0, 0], [0, 100, 0], [1, 1, 3], [2, 1, 3], [1, 2, 3]],
        [[0, 1, 2], [3, 4, 5]],
    )
    assert nearest_face(surface, (1.2, 1.2, 0.5)) == (0, pytest.approx(0.5))


def test_corners_within_reach_are_found_once_each() -> None:
    ball = trimesh.creation.icosphere(3, 10)
    surface = Surface(ball.vertices, ball.faces)
    away = np.linalg.norm(surface.vertices - (9.0, 2.0, 1.0), axis=1)
    found, distance = corners_within(surface, (9.0, 2.0, 1.0), 4.0)
    np.testing.assert_array_equal(found, np.flatnonzero(away <= 4.0))
    np.testing.assert_allclose(distance, away[found])
    assert len(corners_within(surface, (0.0, 0.0, 0.0), 4.0)[0]) == 0


@pytest.mark.parametrize(
    ("point", "found"),
    [((0.5, -1.0), (0.5, 0.0)), ((3.0, 3.0), (1.0, 1.0)), ((-0.2, 0.4), (0.0, 0.4))],
)
def test_nearest_place_on_a_closed_square(
    point: tuple[float, float], found: tuple[float, float]
) -> None:
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    assert nearest_on_outline(square, np.array(point)) == pytest.approx(found)
