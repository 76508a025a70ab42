"""A noisy scan has the pockets of the clean one; its false tops are fine bubbles."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.geometry.surface import Surface

RAM = Path(__file__).parents[2] / "sample_meshes" / "ram.ply"
UPS = [(0.0, 0.0, -1.0), (0.5, 0.2, -0.8)]


def ram(*, height_mm: float) -> Surface:
    """Return the sample ram at a height."""
    if not RAM.exists():
        pytest.skip("sample_meshes/ram.ply has not been made")
    mesh = trimesh.load(RAM)
    points = np.asarray(mesh.vertices)
    return Surface(points * (height_mm / np.ptp(points[:, 2])), mesh.faces)


def edge_of(surface: Surface) -> float:
    """Return the mean length of an edge [mm]."""
    low, high = surface.edges.T
    return float(np.linalg.norm(surface.vertices[low] - surface.vertices[high], axis=1).mean())


def noisy(surface: Surface, share: float) -> Surface:
    """Return the surface with noise along its normals, a share of the mean edge; base kept flat."""
    noise = np.random.default_rng(1).normal(0.0, share * edge_of(surface), len(surface.vertices))
    noise[foot(surface)] = 0.0
    return Surface(surface.vertices + noise[:, None] * surface.vertex_normals, surface.faces)


def foot(surface: Surface) -> np.ndarray:
    z = surface.vertices[:, 2]
    return np.flatnonzero(z < z.min() + 0.02)


@pytest.mark.parametrize("up", UPS)
def test_noise_of_a_fifth_of_an_edge_changes_no_pocket(up: tuple[float, float, float]) -> None:
    clean = ram(height_mm=31.0)
    assert edge_of(clean) == pytest.approx(0.22, abs=0.01)
    before = trapped_air(Cavity(clean, foot(clean)), up)
    after = trapped_air(Cavity(noisy(clean, 0.2), foot(clean)), up)
    assert len(after.pockets) == len(before.pockets) > 5
    met = []
    for i, here in enumerate(before.pockets):
        inside = after.pocket_of[before.pocket_of == i]
        met.append(int(np.bincount(inside[inside >= 0]).argmax()))
        # The level hangs on the height of one noisy vertex at the lid's rim.
        there = after.pockets[met[-1]]
        assert there.volume_mm3 == pytest.approx(here.volume_mm3, rel=0.05, abs=0.25)
    assert sorted(met) == list(range(len(after.pockets)))
    assert after.fine_mm3 < 0.5


def test_noise_on_a_coarse_mesh_makes_dimples_no_larger_than_its_edges() -> None:
    # What noise adds above the visible size is a dimple of about one edge cubed, on this mesh.
    clean = ram(height_mm=62.0)
    before = trapped_air(Cavity(clean, foot(clean)), UPS[0])
    after = trapped_air(Cavity(noisy(clean, 0.2), foot(clean)), UPS[0])
    added = [p.volume_mm3 for p in after.pockets[len(before.pockets) :]]
    assert added
    assert all(volume < 2.0 * edge_of(clean) ** 3 for volume in added)
