from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from partline.geometry.paths import cheapest_path, priced, surface_graph
from partline.geometry.straighten import straightened
from partline.geometry.surface import Surface


def plate(n: int, jitter: float = 0.0, seed: int = 0) -> Surface:
    x, y = np.meshgrid(np.linspace(0, 1, n + 1), np.linspace(0, 1, n + 1), indexing="ij")
    points = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    inner = ((points[:, :2] > 0) & (points[:, :2] < 1)).all(axis=1)
    shift = np.random.default_rng(seed).uniform(-jitter / n, jitter / n, (len(points), 2))
    points[inner, :2] += shift[inner]
    i, j = np.meshgrid(np.arange(n), np.arange(n), indexing="ij")
    a = (i * (n + 1) + j).ravel()
    b, c, d = a + n + 1, a + n + 2, a + 1
    return Surface(points, np.concatenate([np.column_stack(q) for q in ((a, b, c), (a, c, d))]))


@pytest.mark.parametrize("target", [(1.0, 0.25), (1.0, 0.6), (0.7, 1.0), (1.0, 1.0)])
def test_on_a_flat_plate_the_line_is_straight(target: tuple[float, float]) -> None:
    surface = plate(20, jitter=0.3)
    goal = int(np.argmin(np.linalg.norm(surface.vertices[:, :2] - target, axis=1)))
    network = priced(surface_graph(surface))
    path = straightened(surface, network.density, cheapest_path(network, [0], [goal]))
    straight = np.linalg.norm(surface.vertices[goal] - surface.vertices[0])
    assert path.length_mm == pytest.approx(straight, rel=1e-3)
    assert path.length_mm >= straight * (1 - 1e-12)


def test_a_change_of_price_bends_the_line_as_light_is_bent() -> None:
    """Snell's law at a straight interface, closed form: within 0.5 %."""
    n, dear = 60, 2.0
    surface = plate(n)
    x = surface.vertices[:, 0]
    # The price changes over one row of triangles, half before and half beyond x = 0.5 + h / 2.
    density = np.where(x > 0.5 + 1e-9, dear, 1.0)
    middle = 0.5 + 0.5 / n
    goal = len(surface.vertices) - 1

    def cost(y: float) -> float:
        return np.hypot(middle, y) + dear * np.hypot(1 - middle, 1 - y)

    best = minimize_scalar(cost, bounds=(0, 1), method="bounded").fun
    network = priced(surface_graph(surface), density)
    rough = cheapest_path(network, [0], [goal])
    path = straightened(surface, density, rough)
    assert path.cost == pytest.approx(best, rel=5e-3)
    assert rough.cost > best * 1.004  # there was something to straighten


def test_it_never_costs_more_and_keeps_its_ends() -> None:
    surface = plate(15, jitter=0.35, seed=4)
    rng = np.random.default_rng(2)
    density = 1 + 4 * rng.random(len(surface.vertices))
    network = priced(surface_graph(surface), density)
    for goal in rng.integers(30, len(surface.vertices), 8):
        rough = cheapest_path(network, [5], [int(goal)])
        path = straightened(surface, density, rough)
        assert path.cost <= rough.cost
        assert path.ends[0].tolist() == [5, 5]
        assert path.ends[-1].tolist() == [goal, goal]


def test_it_does_not_enter_what_is_shut() -> None:
    surface = plate(20)
    x, y, _ = surface.vertices.T
    density = np.where((np.abs(x - 0.5) < 0.11) & (y < 0.7), np.inf, 1.0)
    network = priced(surface_graph(surface), density)
    path = straightened(surface, density, cheapest_path(network, [0], [20 * 21]))
    inside = (np.abs(path.points[:, 0] - 0.5) < 0.11) & (path.points[:, 1] < 0.699)
    assert not inside.any()
    assert np.isfinite(path.sample(density)).all()
    corners = np.array([[0, 0], [0.35, 0.7], [0.65, 0.7], [1, 0]])
    round_ = np.linalg.norm(np.diff(corners, axis=0), axis=1).sum()
    # Round the shut block's free edge of triangles; no shorter than round the block itself.
    assert round_ * 0.98 <= path.length_mm <= round_ * 1.05
