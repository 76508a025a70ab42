"""The place of a container's axis and the least box, against general libraries.

Sources: scipy.optimize (SLSQP on the epigraph, a general convex solver) for the circle;
trimesh.bounds.oriented_bounds_2D (rotating calipers) for the rectangle.
"""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize

from partline.workshop.fitting import Reach, least_box, reach_of, round_centre


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("slope", [0.0, 0.13, 0.4])
def test_circle_against_a_general_solver(seed: int, slope: float) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(30, 3)) * [20, 12, 25] + [3, -8, 50]
    reach = Reach(points, rng.uniform(3, 15, 30))
    weight = reach.need * np.hypot(1, slope) - slope * points[:, 2]

    def room(unknowns: np.ndarray) -> np.ndarray:
        return unknowns[2] - np.linalg.norm(points[:, :2] - unknowns[:2], axis=1) - weight

    start = [*points[:, :2].mean(axis=0), 200.0]
    solved = minimize(lambda v: v[2], start, method="SLSQP", tol=1e-9,
                      constraints={"type": "ineq", "fun": room})  # fmt: skip
    assert solved.success
    centre, radius = round_centre(reach, slope=slope)
    assert radius == pytest.approx(solved.fun, abs=1e-5)
    assert centre == pytest.approx(solved.x[:2], abs=0.02)


@pytest.mark.parametrize("seed", range(12))
def test_box_against_rotating_calipers(seed: int) -> None:
    points = np.random.default_rng(seed).normal(size=(60, 3)) * [30, 12, 20]
    fit = least_box(reach_of(points, 0.0))
    _, extents = trimesh.bounds.oriented_bounds_2D(points[:, :2])
    assert fit.width_mm * fit.depth_mm == pytest.approx(float(np.prod(extents)), rel=1e-9)
