"""Coarser meshes for the coarse octaves: a quarter of the triangles, whatever the size."""

import numpy as np
import pytest
from bodies import roughened, torus

from partline.detail.levels import Level
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Surface


@pytest.mark.parametrize("times", [0.1, 1.0, 30.0])
def test_a_rough_body_of_any_size_is_thinned_to_a_quarter(times):
    body = roughened(torus(20, 8, 0.8), 0.04)
    body = Surface(times * body.vertices, body.faces)
    mass, laplacian = mass_and_laplacian(body)
    edge = float(np.median(edge_lengths(body)))
    every = np.arange(len(mass), dtype=np.int32)
    level = Level(body, mass, laplacian, body.vertices, np.full(len(mass), np.inf), edge, every)
    told: list[float] = []
    thin = level.thinned(lambda fraction, _: told.append(fraction))
    assert len(thin.surface.faces) == pytest.approx(len(body.faces) / 4, rel=0.01)
    assert thin.edge_mm == pytest.approx(2 * edge, rel=0.1)
    # Each vertex is stood for by one beside it, and nothing is lost.
    away = np.linalg.norm(thin.columns[thin.back] - body.vertices, axis=1)
    assert away.max() < 5 * edge
    assert thin.mass.sum() == pytest.approx(mass.sum(), rel=0.02)
    # Both halvings tell when they begin and when the library comes back.
    assert told == [0.0, 0.25, 0.5, 0.625]
