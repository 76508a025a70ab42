"""Angle defects of a closed surface add up to 2 pi chi (Gauss and Bonnet; for polyhedra Descartes).

Checks, by a sum that shares no code with it, that surfaces are closed and of the genus they
should have: also those that come out of trimming, joining and cutting away.
"""

from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold

from partline.geometry.solids import to_surface
from partline.geometry.surface import Surface
from partline.job import load_job
from partline.samples import sample
from partline.scan.reading import read_master
from partline.stand.placing import place


def total_defect(surface: Surface) -> float:
    corners = surface.vertices[surface.faces]
    angles = 0.0
    for k in range(3):
        a = corners[:, (k + 1) % 3] - corners[:, k]
        b = corners[:, (k + 2) % 3] - corners[:, k]
        angles += np.arctan2(
            np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b)
        ).sum()
    return float(2 * np.pi * len(np.unique(surface.faces)) - angles)


def ring() -> Manifold:
    return Manifold.cylinder(5.0, 20.0, 20.0, 64) - Manifold.cylinder(7.0, 8.0, 8.0, 64).translate(
        (0, 0, -1)
    )


@pytest.mark.parametrize(
    ("solid", "chi"),
    [
        (Manifold.sphere(10.0, 96), 2),
        (ring(), 0),
        (ring() + ring().translate((35.0, 0.0, 0.0)), -2),
        (Manifold.sphere(10.0, 48) - Manifold.sphere(4.0, 32), 4),
    ],
    ids=["ball", "ring", "two rings joined", "hollow ball"],
)
def test_solids_of_known_genus(solid: Manifold, chi: int) -> None:
    assert total_defect(to_surface(solid)[0]) == pytest.approx(2 * np.pi * chi, abs=1e-6)


def test_the_ram_and_what_is_made_of_it() -> None:
    job = load_job(sample("ram.toml"))
    master = read_master(job.scan.file, height_mm=62.0)
    # Two horns whose tips touch the cheeks: genus 2.
    assert total_defect(master.surface) == pytest.approx(-4 * np.pi, abs=1e-6)
    stand = place(master)
    for surface in (stand.piece, stand.cavity.surface):
        assert total_defect(surface) == pytest.approx(-4 * np.pi, abs=1e-6)
    # The rubber's skin is the ram's and the box's in one shell: the same two loops.
    assert total_defect(stand.rubber_cavity.surface) == pytest.approx(-4 * np.pi, abs=1e-6)
