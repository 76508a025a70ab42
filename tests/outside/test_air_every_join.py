"""The sample ram's air in random directions against a flood that shares no code with the analysis.

`PARTLINE_LONG=1` asks 10 000 directions. Source of both checks: common practice, no source; the
second is manifold3d's trim of the solid by a plane, which knows no merge tree.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from flooding import spill_levels
from scipy.sparse import coo_array
from solids import manifold_of

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.sweep import Sweep
from partline.geometry.surface import Surface

RAM = Path(__file__).parents[2] / "sample_meshes" / "ram.ply"
MANY = 10_000 if os.environ.get("PARTLINE_LONG") else 12


@pytest.fixture(scope="module")
def ram() -> Cavity:
    if not RAM.exists():
        pytest.skip("sample_meshes/ram.ply has not been made")
    mesh = trimesh.load(RAM)
    points = np.asarray(mesh.vertices)
    return Cavity(
        Surface(points, mesh.faces), np.flatnonzero(points[:, 2] < points[:, 2].min() + 0.02)
    )


def frame(up: np.ndarray) -> np.ndarray:
    """Return a turn, rows the new axes, that brings `up` to the third."""
    across = np.cross(up, np.eye(3)[np.argmin(np.abs(up))])
    across /= np.linalg.norm(across)
    return np.array([across, np.cross(up, across), up])


def random_ups(seed: int, count: int) -> np.ndarray:
    ups = np.random.default_rng(seed).normal(size=(count, 3))
    return ups / np.linalg.norm(ups, axis=1, keepdims=True)


def test_no_join_is_wrong(ram: Cavity) -> None:
    surface = ram.surface
    n = len(surface.vertices)
    low, high = surface.edges.T
    ones = np.ones(2 * len(low), dtype=np.int8)
    graph = coo_array((ones, (np.append(low, high), np.append(high, low))), shape=(n, n)).tocsr()
    outlet = np.zeros(n, dtype=bool)
    outlet[ram.outlets] = True
    pockets, wrong = 0, []
    for k, up in enumerate(random_ups(4, MANY)):
        points = surface.vertices @ frame(up).T
        level = spill_levels(points, surface.faces, graph.indptr, graph.indices, outlet)
        found = trapped_air(ram, up, visible_mm=1e-9)
        pocket = found.pocket_of
        spill = np.array([p.spill_level_mm for p in found.pockets])
        held = pocket >= 0
        right = np.abs(spill[pocket[held]] - level[held]).max(initial=0.0) < 1e-9
        # Nothing that the flood holds is left out.
        right &= (points[~held, 2] - level[~held]).max(initial=0.0) < 1e-6
        pockets += len(found.pockets)
        if not right:
            wrong.append(k)
    print(f"\n{MANY} directions, {pockets} pockets, wrong in {len(wrong)}")
    assert not wrong
    assert pockets > 10 * MANY


@pytest.mark.parametrize("up", random_ups(5, 2).tolist())
def test_pockets_are_what_a_plane_cuts_off(ram: Cavity, up: list[float]) -> None:
    u = np.array(up)
    solid, points = manifold_of(ram.surface), ram.surface.vertices
    found = trapped_air(ram, u)
    assert found.pockets
    outlets = points[ram.outlets]
    for pocket in found.pockets[:6]:
        for step, leads_out in ((1e-6, False), (-1e-6, True)):
            level = pocket.spill_level_mm + step
            bodies = solid.trim_by_plane(u.tolist(), level).decompose()
            mine = min(bodies, key=lambda b: _off(b, pocket.apex))
            assert (_off(mine, outlets[np.argmax(outlets @ u)]) < 1e-7) == leads_out
            if not leads_out:
                assert mine.volume() == pytest.approx(pocket.volume_mm3, rel=1e-3)


def _off(body, point: np.ndarray) -> float:
    """Return how far a point is from the nearest corner of a body."""
    corners = np.asarray(body.to_mesh64().vert_properties)[:, :3]
    return float(np.linalg.norm(corners - point, axis=1).min())


def test_no_direction_of_a_cell_of_the_ram_falls_below_its_bound(ram: Cavity) -> None:
    rng = np.random.default_rng(6)
    sweep = Sweep(ram)
    for middle in random_ups(7, 20):
        radius = np.radians(rng.uniform(0.3, 6.0))
        _, bound = sweep(middle[None], np.array([radius]))
        axes = frame(middle)
        off, turn = radius * np.sqrt(rng.uniform(size=50)), rng.uniform(0, 2 * np.pi, 50)
        sideways = np.cos(turn)[:, None] * axes[0] + np.sin(turn)[:, None] * axes[1]
        volume, _ = sweep(np.cos(off)[:, None] * middle + np.sin(off)[:, None] * sideways)
        assert (volume >= bound[0] - 1e-9 * ram.volume_mm3).all()
