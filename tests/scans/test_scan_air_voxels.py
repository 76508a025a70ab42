"""Air of three real scans, pocket by pocket, against a flood of cells.

Source of the check: grey-scale reconstruction of scikit-image (Vincent 1993, from memory). A
flood is always rough: its level is that of a cell's middle, so each pocket may be off by a layer
of the height between two cells over its lid, and skin that slopes holds crumbs on its steps.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numba import njit
from scipy.ndimage import label
from skimage.morphology import reconstruction

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.faces.air_caps import air_bodies
from partline.geometry.surface import Surface

FOLDER = os.environ.get("PARTLINE_SCANS")
pytestmark = [
    pytest.mark.scans,
    pytest.mark.slow,
    pytest.mark.skipif(not FOLDER, reason="PARTLINE_SCANS names no folder of real scans"),
]
CELL = 0.4
LARGE_MM3 = 20.0
MOUTH_MM = 0.6
LOW = -1e9


def standing(name: str) -> Surface:
    """Return a scan upright at 70 mm, its lowest place at 0."""
    mesh = trimesh.load(Path(FOLDER or "") / name, process=False)
    points = np.asarray(mesh.vertices)[:, [0, 2, 1]] * [1.0, -1.0, 1.0]
    points *= 70.0 / np.ptp(points[:, 2])
    return Surface(points - points.min(axis=0), mesh.faces)


@njit
def _crossed(corners, turns):
    """Count at each cell how often the column below its middle enters, less how often it leaves."""
    for f in range(len(corners)):
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = corners[f]
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if area == 0.0:
            continue
        for i in range(int(np.ceil(min(ax, bx, cx))), int(np.floor(max(ax, bx, cx))) + 1):
            for j in range(int(np.ceil(min(ay, by, cy))), int(np.floor(max(ay, by, cy))) + 1):
                s = ((i - ax) * (cy - ay) - (j - ay) * (cx - ax)) / area
                t = ((bx - ax) * (j - ay) - (by - ay) * (i - ax)) / area
                if s >= 0 and t >= 0 and s + t <= 1:
                    z = int(np.ceil(az + s * (bz - az) + t * (cz - az)))
                    turns[i, j, z] -= 1 if area > 0 else -1


def air_in_cells(surface: Surface, up: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (cells that hold air, middle of the first cell)."""
    start = surface.bounds[0] - CELL * np.array([0.6180339, 0.7320508, 0.5])
    turns = np.zeros(np.ceil((surface.bounds[1] - start) / CELL).astype(int) + 2, dtype=np.int32)
    _crossed((surface.vertices[surface.faces] - start) / CELL, turns)
    inside = np.cumsum(turns, axis=2) > 0
    x, y, z = (start[k] + CELL * np.arange(n) for k, n in enumerate(inside.shape))
    height = x[:, None, None] * up[0] + y[:, None] * up[1] + z * up[2]
    height = np.where(inside, height, LOW)
    seed = np.where(z < MOUTH_MM, height, LOW)
    # Over edges and corners of cells too, or every sloping ceiling would be a stair.
    level = reconstruction(seed, height, method="dilation", footprint=np.ones((3, 3, 3)))
    return inside & (height > level + 1e-9), start


@pytest.mark.parametrize(
    ("name", "up"),
    [("eagle.ply", (0.5, 0.2, -0.8)), ("koala.obj", (-0.6, 0.1, -0.7)),
     ("skull.obj", (0.5, 0.2, -0.8))],
)  # fmt: skip
def test_each_pocket_is_found_by_a_flood(name: str, up: tuple[float, float, float]) -> None:
    u = np.array(up) / np.linalg.norm(up)
    surface = standing(name)
    found = trapped_air(Cavity(surface, np.flatnonzero(surface.vertices[:, 2] < MOUTH_MM)), u)
    air, start = air_in_cells(surface, u)
    bodies, _ = label(air)
    near, held = np.argwhere(air), np.bincount(bodies.ravel())[1:] * CELL**3
    shells = air_bodies(surface, found)
    told, matched = [], set()
    for pocket, shell in zip(found.pockets, shells, strict=True):
        # The flood's body nearest to a place under the pocket's apex.
        place = (pocket.apex - 0.4 * pocket.depth_mm * u - start) / CELL
        mine = bodies[tuple(near[np.argmin(np.linalg.norm(near - place, axis=1))])] - 1
        matched.add(mine)
        lid = np.linalg.norm(shell.lid.face_vectors, axis=1).sum() / 2
        if pocket.volume_mm3 > LARGE_MM3:
            # Middles of cells that touch in a corner differ so much in height.
            step = CELL * np.abs(u).sum()
            told.append((pocket.volume_mm3, held[mine], lid * step))
    print(f"\n{name}: " + ", ".join(f"{a:.1f} mm³, by cells {b:.1f}" for a, b, _ in told))
    assert len(told) >= 2
    for ours, theirs, layer in told:
        assert abs(theirs - ours) < layer + 0.02 * ours
    # Nothing large that the flood holds is missing.
    assert set(np.flatnonzero(held > 1.5 * LARGE_MM3)) <= matched
