"""The stated volume interval holds the truth when holes of smooth bodies are filled."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.scan.closing import UNSURE, Closing, closed
from partline.scan.draft import Draft
from partline.scan.holes import rims

CUTS = 500


def bodies() -> list[tuple[np.ndarray, np.ndarray]]:
    """Ball, egg, lumpy body and two rings, each smooth and closed."""
    ball = trimesh.creation.icosphere(4, radius=10)
    v, f = np.array(ball.vertices), np.array(ball.faces)
    lumps = 1 + 0.12 * np.sin(v[:, 0] / 1.7) + 0.08 * np.cos(v[:, 1] / 1.3 + 1)
    rings = [trimesh.creation.torus(10, r, major_sections=90, minor_sections=40) for r in (4, 2.5)]
    return [
        (v, f),
        (v * [1, 0.7, 1.4], f),
        (v * lumps[:, None], f),
        *((np.array(t.vertices), np.array(t.faces)) for t in rings),
    ]


def holed(v: np.ndarray, f: np.ndarray, rng: np.random.Generator) -> tuple[Draft, float]:
    """Take a ragged patch of up to 1 % of the area off a random place; also the true volume."""
    mesh = trimesh.Trimesh(v, f, process=False)
    away = mesh.triangles_center - mesh.triangles_center[rng.integers(len(f))]
    ragged = 1 + 0.2 * np.sin(3 * np.arctan2(away[:, 1], away[:, 0]) + rng.random() * 6)
    order = np.argsort(np.linalg.norm(away, axis=1) * ragged)
    share = 0.01 * np.sqrt(rng.random())
    gone = np.searchsorted(np.cumsum(mesh.area_faces[order]), share * mesh.area) + 1
    keep = np.ones(len(f), dtype=bool)
    keep[order[:gone]] = False
    return Draft(v, f, np.arange(len(f))).kept(keep), float(mesh.volume)


@pytest.mark.slow
def test_the_interval_holds_the_truth_and_is_narrow():
    rng = np.random.default_rng(20_26)
    shapes = bodies()
    held, widest = 0, 0.0
    for k in range(CUTS):
        draft, truth = holed(*shapes[k % len(shapes)], rng)
        filled, found = closed(draft, Closing((), tuple(rims(draft)), (), 0.0))
        volume = filled.face_volumes().sum()
        (doubt,) = (finding.doubt for finding in found)
        held += abs(volume - truth) <= doubt
        widest = max(widest, 2 * doubt / truth)
    assert held >= 0.99 * CUTS
    assert widest <= 0.005


def test_doubt_grows_with_the_cube_of_the_size():
    rng = np.random.default_rng(5)
    draft, _ = holed(*bodies()[0], rng)
    (small,) = closed(draft, Closing((), tuple(rims(draft)), (), 0.0))[1]
    assert small.doubt >= UNSURE * sum(rim.area * rim.width for rim in rims(draft))
    matrix = np.diag([3.0, 3.0, 3.0, 1.0])
    assert small.moved(matrix).doubt == pytest.approx(27 * small.doubt)
