"""Air of the sample ram against a flood of voxels at four cell sizes.

Source of the check: grey-scale reconstruction of scikit-image on a grid of cells (Vincent 1993,
from memory); the cells are filled by counting the skin's crossings along each column. A flood is
always rough: a neck thinner than a cell closes, a lid is a step. It must come nearer as cells
shrink.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from skimage.morphology import reconstruction

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.geometry.surface import Surface

RAM = Path(__file__).parents[2] / "sample_meshes" / "ram.ply"


def filled(surface: Surface, cell: float) -> tuple[np.ndarray, np.ndarray]:
    """Return (nx, ny, nz) bool, cells whose middle lies inside, and the first middle."""
    low, high = surface.bounds
    # An odd start keeps the columns off the vertices of a regular mesh.
    start = low - cell * np.array([0.6180339, 0.7320508, 0.5])
    shape = np.ceil((high - start) / cell).astype(int) + 2
    turns = np.zeros(shape, dtype=np.int32)
    corners = (surface.vertices[surface.faces] - start) / cell
    first = np.ceil(corners[:, :, :2].min(axis=1)).astype(int)
    last = np.floor(corners[:, :, :2].max(axis=1)).astype(int)
    for f in np.flatnonzero((first <= last).all(axis=1)):
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = corners[f]
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if area == 0.0:
            continue
        i, j = np.meshgrid(
            np.arange(first[f, 0], last[f, 0] + 1),
            np.arange(first[f, 1], last[f, 1] + 1),
            indexing="ij",
        )
        s = ((i - ax) * (cy - ay) - (j - ay) * (cx - ax)) / area
        t = ((bx - ax) * (j - ay) - (by - ay) * (i - ax)) / area
        hit = (s >= 0) & (t >= 0) & (s + t <= 1)
        z = az + s[hit] * (bz - az) + t[hit] * (cz - az)
        np.add.at(turns, (i[hit], j[hit], np.ceil(z).astype(int)), -int(np.sign(area)))
    return np.cumsum(turns, axis=2) > 0, start


def flooded(surface: Surface, cell: float, mouth: np.ndarray, up: np.ndarray) -> float:
    """Return the air by flooding cells; the mouth is a plane's worth of vertices."""
    inside, start = filled(surface, cell)
    middles = np.stack(np.indices(inside.shape), axis=-1) * cell + start
    height = np.where(inside, middles @ up, -1e9)
    plane = surface.vertices[mouth]
    seed = np.full(inside.shape, -1e9)
    near = inside & (middles[..., 2] < plane[:, 2].max() + cell)
    seed[near] = height[near]
    cross = np.zeros((3, 3, 3))
    cross[1, 1], cross[1, :, 1], cross[:, 1, 1] = 1, 1, 1
    level = reconstruction(seed, height, method="dilation", footprint=cross)
    return float(np.count_nonzero(inside & (height > level + 1e-9)) * cell**3)


@pytest.mark.slow
@pytest.mark.parametrize("up", [(0.0, 0.0, -1.0), (0.5, 0.2, -0.8), (-0.3, 0.4, -0.85)])
def test_a_flood_of_voxels_comes_nearer_as_cells_shrink(up: tuple[float, float, float]) -> None:
    if not RAM.exists():
        pytest.skip("sample_meshes/ram.ply has not been made")
    mesh = trimesh.load(RAM)
    surface = Surface(mesh.vertices, mesh.faces)
    u = np.array(up) / np.linalg.norm(up)
    mouth = np.flatnonzero(surface.vertices[:, 2] < surface.bounds[0, 2] + 0.02)
    exact = trapped_air(Cavity(surface, mouth), u).volume_mm3
    cells = np.array([1.2, 0.8, 0.53, 0.35])
    found = np.array([flooded(surface, cell, mouth, u) for cell in cells])
    off = np.abs(found - exact) / exact
    print(f"\n{exact:.1f} mm³; floods {np.round(found, 1)}, off {np.round(off, 3)}")
    assert off[-1] < off[0]
    # The error of a flood is of first order: continued to cells of no size, it vanishes.
    limit = np.polyfit(cells, found, 1)[1]
    print(f"continued to no size: {limit:.1f}")
    assert limit == pytest.approx(exact, rel=0.03)
