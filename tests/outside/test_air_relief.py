"""Air under a real relief against grey-scale reconstruction of the same heights.

Source of the heights: the Jacksboro fault elevation sample that matplotlib carries. Source of the
check: `skimage.morphology.reconstruction` by erosion, which floods a grid of heights from its rim
(Vincent 1993, from memory). The mould stands roof up and is open along the rim of the relief.
"""

from __future__ import annotations

import cups
import matplotlib.cbook
import numpy as np
import pytest
from skimage.morphology import reconstruction

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air


@pytest.fixture(scope="module")
def heights() -> np.ndarray:
    with matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz") as sample:
        return np.asarray(sample["elevation"], dtype=np.float64)[40:240, 60:260] * 0.1


def spill_levels(heights: np.ndarray, footprint: np.ndarray) -> np.ndarray:
    """Return for each place the level at which its air would leave, at most its own height."""
    seed = heights.min() * np.ones_like(heights)
    seed[[0, -1]], seed[:, [0, -1]] = heights[[0, -1]], heights[:, [0, -1]]
    return reconstruction(seed, heights, method="dilation", footprint=footprint)


def test_the_terraced_relief_agrees_exactly(heights: np.ndarray) -> None:
    # Each place becomes a level terrace, terraces joined by walls all but upright: as in the
    # grid, air passes between side-on neighbours and not over corners.
    heights = heights[::2, ::2]
    n, m = heights.shape
    gap = 1e-7
    x = (np.arange(n)[:, None] + np.array([gap, 1 - gap])).ravel()
    y = (np.arange(m)[:, None] + np.array([gap, 1 - gap])).ravel()
    # Across a corner the four terraces leave a square of side 2 gap: no way at its middle.
    z = np.repeat(np.repeat(heights, 2, axis=0), 2, axis=1)
    surface = cups.roof(x, y, z, floor=heights.min() - 10.0)
    rim = np.zeros_like(z, dtype=bool)
    rim[[0, 1, -2, -1]] = True
    rim[:, [0, 1, -2, -1]] = True
    found = trapped_air(Cavity(surface, np.flatnonzero(rim.ravel())), (0, 0, 1))
    plus = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]])
    full = np.ones((3, 3))
    sides, corners = (float((heights - spill_levels(heights, f)).sum()) for f in (plus, full))
    # One diagonal of each small square is an edge: air passes over that corner, not the other.
    diagonal = np.array([[1, 1, 0], [1, 1, 1], [0, 1, 1]])
    exact = float((heights - spill_levels(heights, diagonal)).sum())
    assert corners < exact < sides
    assert found.volume_mm3 == pytest.approx(exact, rel=1e-5)


def test_the_spill_levels_of_the_triangulated_relief_agree_exactly(heights: np.ndarray) -> None:
    # On the grid of vertices the edges are the sides and one diagonal: the same neighbours.
    n, m = heights.shape
    surface = cups.roof(np.arange(n), np.arange(m), heights, floor=heights.min() - 10.0)
    rim = np.zeros_like(heights, dtype=bool)
    rim[[0, -1]], rim[:, [0, -1]] = True, True
    found = trapped_air(Cavity(surface, np.flatnonzero(rim.ravel())), (0, 0, 1), visible_mm=1e-9)
    diagonal = np.array([[1, 1, 0], [1, 1, 1], [0, 1, 1]])
    level = spill_levels(heights, diagonal).ravel()
    held = np.flatnonzero(heights.ravel() > level)
    pocket = found.pocket_of[: heights.size]
    assert (np.flatnonzero(pocket >= 0) == held).all()
    spill = np.array([p.spill_level_mm for p in found.pockets])
    assert np.abs(spill[pocket[held]] - level[held]).max() < 1e-12
    # Volume of the pieces above their levels by a fine sum over each triangle.
    assert found.volume_mm3 == pytest.approx(_sum_over_triangles(heights, level), rel=2e-3)


def _sum_over_triangles(heights: np.ndarray, level: np.ndarray) -> float:
    """Return the air under the roof by sampling each triangle; levels per vertex."""
    n, m = heights.shape
    index = np.arange(n * m).reshape(n, m)
    a, b, c, d = (
        s.ravel() for s in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:])
    )
    z = heights.ravel()
    total = 0.0
    k = 24
    i, j = np.meshgrid(np.arange(k), np.arange(k), indexing="ij")
    up = i + j < k
    down = i + j < k - 1
    s = np.concatenate([(i + 1 / 3)[up], (i + 2 / 3)[down]]) / k
    t = np.concatenate([(j + 1 / 3)[up], (j + 2 / 3)[down]]) / k
    for corners in ((a, b, c), (a, c, d)):
        h = np.stack([z[v] for v in corners])
        spill = np.stack([level[v] for v in corners])
        lid = np.where(h > spill, spill, np.inf).min(axis=0)
        some = np.isfinite(lid)
        here = (h[0, some, None] * (1 - s - t) + h[1, some, None] * s + h[2, some, None] * t) - lid[
            some, None
        ]
        total += 0.5 * np.maximum(here, 0).mean(axis=1).sum()
    return float(total)
