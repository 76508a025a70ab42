"""Hard edges: clean rims and corners are found, smooth and noisy skin is not."""

import numpy as np
import pytest
from bodies import cylinder, plate, roughened, torus

from partline.detail.hard_edges import HardEdges, distance_to, find_hard_edges
from partline.geometry.surface import Surface


def _length(surface: Surface, pairs) -> float:
    ends = surface.vertices[pairs]
    return float(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).sum())


@pytest.mark.parametrize("noise", [0.0, 0.01])
def test_rims_of_a_cylinder(noise):
    body = roughened(cylinder(12, 30, 0.4), noise)
    found = find_hard_edges(body, noise_mm=noise, edge_mm=0.4)
    # Closed form: two circles.
    assert _length(body, found.pairs) == pytest.approx(2 * 2 * np.pi * 12, rel=0.02)
    assert found.convex.dtype == bool
    assert found.convex.all()


def test_inner_corner_is_not_convex():
    # Truth: a right-angled trough, 20 mm long, seen from inside.
    body = plate(20, 20, 0.5, lambda _, y: np.abs(y - 10))
    found = find_hard_edges(body, noise_mm=0.0, edge_mm=0.5)
    assert _length(body, found.pairs) == pytest.approx(20, rel=1e-9)
    assert not found.convex.any()
    roof = Surface(body.vertices * [1, 1, -1], body.faces)
    assert find_hard_edges(roof, noise_mm=0.0, edge_mm=0.5).convex.all()


@pytest.mark.parametrize("noise", [0.0, 0.03])
def test_smooth_body_has_none(noise):
    body = roughened(torus(20, 8, 0.4), noise)
    assert len(find_hard_edges(body, noise_mm=noise, edge_mm=0.4).pairs) == 0


def test_fine_texture_with_sharp_flanks_is_no_hard_edge():
    body = plate(20, 20, 0.25, lambda x, _: 0.6 * np.abs((x % 1.5) - 0.75))
    body = Surface(body.vertices + 0.3 * np.sin(3 * body.vertices[:, [2, 0, 1]]), body.faces)
    found = find_hard_edges(body, noise_mm=0.0, edge_mm=0.25)
    assert _length(body, found.pairs) < 0.1 * 13 * 20


def test_distance_stops_at_the_limit():
    body = plate(10, 10, 0.5, lambda x, _: 0 * x)
    near = np.flatnonzero(body.vertices[:, 0] == 0)
    edges = HardEdges(np.column_stack([near[:-1], near[1:]]).astype(np.int32), np.ones(20, bool))
    found = distance_to(body, edges, limit_mm=3.0)
    inside = body.vertices[:, 0] <= 3.0
    np.testing.assert_allclose(found[inside], body.vertices[inside, 0])
    assert np.isinf(found[~inside]).all()
    none = HardEdges(np.empty((0, 2), np.int32), np.empty(0, bool))
    assert np.isinf(distance_to(body, none, limit_mm=3.0)).all()
