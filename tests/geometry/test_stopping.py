"""Whether rays are stopped: as the first hit says, on a body with hollows and from its skin."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.geometry.rays import Rays
from partline.geometry.stopping import stopped
from partline.geometry.surface import Surface


@pytest.fixture(scope="module")
def rays() -> Rays:
    torus = trimesh.creation.torus(10, 4, major_sections=40, minor_sections=20)
    box = trimesh.creation.box([3, 3, 30])
    both = trimesh.util.concatenate([torus, box])
    return Rays(Surface(both.vertices, both.faces))


def test_a_ray_is_stopped_where_there_is_a_first_hit(rays: Rays) -> None:
    rng = np.random.default_rng(3)
    origins = rng.uniform(-20, 20, (4000, 3))
    directions = rng.normal(size=(4000, 3))
    # Along an axis a ray may lie in the plane of a box's side.
    directions[:900] = np.repeat(np.vstack([np.eye(3), -np.eye(3)]), 150, axis=0)
    origins[:900:3, :] = np.round(origins[:900:3, :] / 1.5) * 1.5
    first = rays.first(origins, directions)[1] >= 0
    found = [stopped(rays.tree, *o, *d, rays.least)
             for o, d in zip(origins, directions, strict=True)]  # fmt: skip
    assert 0.1 < first.mean() < 0.9
    np.testing.assert_array_equal(found, first)


def test_what_lies_nearer_than_asked_for_stops_nothing(rays: Rays) -> None:
    assert stopped(rays.tree, 0.0, 0.0, 40.0, 0.0, 0.0, -1.0, 30.0)
    assert not stopped(rays.tree, 0.3, 0.2, 40.0, 0.0, 0.0, -1.0, 55.5)
    assert not stopped(rays.tree, 0.3, 0.2, 40.0, 0.0, 0.0, 1.0, 0.0)
