"""Volume, area, closedness."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.surface import Surface
from partline.geometry.volume import area, is_closed, volume

TETRA = Surface(
    [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]
)


def torus(big: float, small: float, n: int) -> Surface:
    u, v = (2 * np.pi * np.arange(k) / k for k in (3 * n, n))
    ring = big + small * np.cos(v)
    points = np.stack(
        [np.outer(np.cos(u), ring), np.outer(np.sin(u), ring),
         np.broadcast_to(small * np.sin(v), (3 * n, n))], axis=2,
    ).reshape(-1, 3)  # fmt: skip
    i, j = (x.ravel() for x in np.meshgrid(np.arange(3 * n), np.arange(n), indexing="ij"))
    a, b = i * n + j, (i + 1) % (3 * n) * n + j
    c, d = (i + 1) % (3 * n) * n + (j + 1) % n, i * n + (j + 1) % n
    return Surface(points, np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])]))


def test_a_corner_of_a_cube() -> None:
    assert volume(TETRA) == pytest.approx(1 / 6, rel=1e-14)
    assert area(TETRA) == pytest.approx(1.5 + np.sqrt(3) / 2, rel=1e-14)
    assert volume(Surface(TETRA.vertices, TETRA.faces[:, ::-1])) == pytest.approx(-1 / 6)


def test_torus_and_its_order_of_convergence() -> None:
    # Volume 2 pi^2 R r^2, area 4 pi^2 R r (Pappus's theorems).
    edges, off_volume, off_area = [], [], []
    for n in (16, 32, 64):
        surface = torus(3.0, 1.0, n)
        edges.append(1 / n)
        off_volume.append(2 * np.pi**2 * 3 - volume(surface))
        off_area.append(4 * np.pi**2 * 3 - area(surface))
    assert min(off_volume) > 0  # an inscribed mesh is too small
    for off in (off_volume, off_area):
        order = np.polyfit(np.log(edges), np.log(off), 1)[0]
        assert order == pytest.approx(2.0, abs=0.1)


def test_moving_and_turning_leave_the_volume() -> None:
    surface = torus(3.0, 1.0, 12)
    matrix = np.eye(4)
    matrix[:3, :3] = np.linalg.qr(np.random.default_rng(0).normal(size=(3, 3)))[0]
    matrix[:3, :3] *= np.linalg.det(matrix[:3, :3])
    matrix[:3, 3] = [1e4, -2e4, 5e3]
    assert volume(surface.moved(matrix)) == pytest.approx(volume(surface), rel=1e-9)
    assert volume(surface.moved(np.diag([2, 2, 2, 1]))) == pytest.approx(8 * volume(surface))


def test_closedness() -> None:
    assert is_closed(TETRA)
    assert is_closed(torus(3.0, 1.0, 8))
    assert not is_closed(Surface(TETRA.vertices, TETRA.faces[1:]))
    turned = TETRA.faces.copy()
    turned[0] = turned[0][::-1]
    assert not is_closed(Surface(TETRA.vertices, turned))
    assert not is_closed(Surface(TETRA.vertices, np.vstack([TETRA.faces, TETRA.faces])))
    assert not is_closed(Surface(TETRA.vertices, np.empty((0, 3), dtype=int)))
