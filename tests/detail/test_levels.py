"""Coarser meshes for the coarse octaves: a quarter of the triangles, whatever the size."""

import numpy as np
import pytest
from bodies import plate, roughened, torus

from partline.detail.levels import Levels
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Surface


def levels_of(body):
    return Levels(body, *mass_and_laplacian(body), float(np.median(edge_lengths(body))))


@pytest.mark.parametrize("times", [0.1, 1.0, 30.0])
def test_a_rough_body_of_any_size_is_thinned_to_a_quarter(times):
    body = roughened(torus(20, 8, 0.8), 0.04)
    body = Surface(times * body.vertices, body.faces)
    levels = levels_of(body)
    fine = levels[0]
    assert levels.coarsest(1.7 * fine.edge_mm) == 0
    assert levels.coarsest(2.6 * fine.edge_mm) == 1
    thin = levels[1]
    assert 3.3 < len(body.faces) / len(thin.surface.faces) < 5.0
    assert 1.8 < thin.edge_mm / fine.edge_mm < 2.4
    # Each vertex is stood for by one beside it, and nothing is lost.
    away = np.linalg.norm(thin.surface.vertices[thin.into] - body.vertices, axis=1)
    assert away.max() < 3 * fine.edge_mm
    assert thin.mass.sum() == pytest.approx(fine.mass.sum(), rel=1e-9)
    assert levels.coarsest(0.99 * thin.edge_mm) == 0
    number = levels.coarsest(10.0 * fine.edge_mm)
    assert number == 3
    assert levels[number].edge_mm <= 10.0 * fine.edge_mm
    assert levels.coarsest(fine.edge_mm, 2) == 2


def test_what_goes_down_keeps_its_sum_and_comes_up_where_it_was():
    body = plate(40, 40, 0.4, lambda x, _: 0 * x)
    levels = levels_of(body)
    assert levels.coarsest(1.7) == 2
    x, y = body.vertices[:, :2].T
    values = np.column_stack([x, np.sin(x / 3) * np.cos(y / 3), np.ones(len(x))])
    there = levels.down(values, 0, 2)
    for number in (0, 1, 2):
        sums = levels[number].mass @ levels.down(values, 0, number)
        np.testing.assert_allclose(sums, levels[0].mass @ values, rtol=1e-9, atol=1e-6)
    back = levels.up(there, 2, 0)
    inner = (np.abs(body.vertices[:, :2] - 20) < 15).all(axis=1)
    assert np.abs(back - values)[inner].max(axis=0) == pytest.approx([0, 0, 0], abs=0.5)
    assert np.sqrt(((back - values)[inner] ** 2).mean(axis=0)) == pytest.approx([0, 0, 0], abs=0.15)
    # Up and down by no step is nothing.
    assert levels.up(values, 0, 0) is values


def test_what_is_unknown_takes_no_part():
    body = plate(20, 20, 0.4, lambda x, _: 0 * x)
    levels = levels_of(body)
    levels.coarsest(0.9)
    thin = levels[1].surface.vertices
    known = thin[:, 0] < 10
    up = levels.up(np.where(known, 3.0, np.nan)[:, None], 1, 0)[:, 0]
    np.testing.assert_array_equal(up[body.vertices[:, 0] < 9], 3.0)
    assert np.isnan(up[body.vertices[:, 0] > 13]).all()


def test_a_mesh_that_would_fall_apart_is_left_as_it_is():
    # Bare triangles: each would become one vertex without a face.
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], dtype=float)
    points = np.vstack([corners + np.array([3.0 * k, 0, 0]) for k in range(50)])
    levels = levels_of(Surface(points, np.arange(150).reshape(-1, 3)))
    assert levels.coarsest(100.0) == 0
