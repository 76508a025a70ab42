"""Crossings slid along edges: straight lines over flat and over folded faces."""

from __future__ import annotations

import numpy as np
import pytest
from test_straighten import plate

from partline.geometry.paths import cheapest_path, make_path, priced, surface_graph
from partline.geometry.sliding import slid
from partline.geometry.surface import Surface


def settled(surface: Surface, path, density):
    for _ in range(12):
        path = min(path, slid(surface, density, path), key=lambda p: p.cost)
    return path


def test_a_crossing_comes_to_lie_on_the_straight_line_over_a_fold() -> None:
    points = np.array([[0, -1, 0], [-1, 0, 0], [1, 0, 0], [0.5, 0, 1.0]])
    surface = Surface(points, [[0, 2, 1], [1, 2, 3]])
    path = make_path(surface, np.ones(4), [[0, 0], [1, 2], [3, 3]], [0.0, 0.9, 0.0])
    found = settled(surface, path, np.ones(4))
    # Laid flat the far corner lies at (0.5, 1); the line from (0, -1) crosses at (0.25, 0).
    assert found.points[1, 0] == pytest.approx(0.25, abs=1e-4)
    assert found.length_mm == pytest.approx(np.hypot(0.5, 2.0), rel=1e-7)


def test_a_path_over_vertices_is_freed_from_them() -> None:
    surface = plate(8, jitter=0.3)
    density = np.ones(len(surface.vertices))
    network = priced(surface_graph(surface, shortcuts=False), density)
    path = cheapest_path(network, [0], [76])
    assert (path.ends[1:-1, 0] == path.ends[1:-1, 1]).all()
    straight = np.linalg.norm(surface.vertices[76] - surface.vertices[0])
    found = settled(surface, path, density)
    assert found.length_mm < 0.99 * path.length_mm
    assert found.length_mm == pytest.approx(float(straight), rel=0.02)
    assert (found.ends[1:-1, 0] != found.ends[1:-1, 1]).mean() > 0.7


def test_turning_the_rows_of_faces_changes_nothing() -> None:
    surface = plate(8, jitter=0.3)
    density = 1 + surface.vertices[:, 0]
    path = cheapest_path(priced(surface_graph(surface), density), [0], [70])
    other = Surface(surface.vertices, np.roll(surface.faces[::-1], 1, axis=1))
    for _ in range(3):
        one, two = slid(surface, density, path), slid(other, density, path)
        np.testing.assert_allclose(two.points, one.points, atol=1e-9)
        path = one


def test_a_vertex_on_the_border_is_leant_on() -> None:
    surface = plate(2)
    path = make_path(surface, np.ones(9), [[0, 0], [1, 1], [2, 2]], np.zeros(3))
    assert slid(surface, np.ones(9), path).ends.tolist() == path.ends.tolist()
