"""The stated volume interval holds the truth when holes of smooth bodies are filled."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.scan.closing import Closing, closed
from partline.scan.draft import Draft
from partline.scan.holes import Rim, rims
from partline.scan.master import Master
from partline.scan.reading import read_master
from partline.scan.volume_doubt import ROUGH, UNSURE, roughness, volume_doubt

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


def holed(
    v: np.ndarray, f: np.ndarray, rng: np.random.Generator, *, low: bool = False
) -> tuple[Draft, float]:
    """Take a ragged patch of up to 1 % of the area off a random place, or a random one of the
    lowest hundredth; also the true volume."""
    mesh = trimesh.Trimesh(v, f, process=False)
    middles = mesh.triangles_center
    places = np.argsort(middles[:, 2])[: len(f) // 100] if low else np.arange(len(f))
    away = middles - middles[rng.choice(places)]
    ragged = 1 + 0.2 * np.sin(3 * np.arctan2(away[:, 1], away[:, 0]) + rng.random() * 6)
    order = np.argsort(np.linalg.norm(away, axis=1) * ragged)
    share = 0.01 * np.sqrt(rng.random())
    gone = np.searchsorted(np.cumsum(mesh.area_faces[order]), share * mesh.area) + 1
    keep = np.ones(len(f), dtype=bool)
    keep[order[:gone]] = False
    return Draft(v, f, np.arange(len(f))).kept(keep), float(mesh.volume)


def as_it_comes(draft: Draft, path: Path) -> Master:
    """Through the file and the whole of the reading, nothing said of the hole."""
    trimesh.Trimesh(draft.vertices, draft.faces, process=False).export(path)
    return read_master(path, units="mm")


@pytest.mark.parametrize(
    ("cuts", "low"), [(25, False), (25, True), pytest.param(CUTS, False, marks=pytest.mark.slow)]
)
def test_the_interval_holds_the_truth_and_is_narrow(tmp_path, cuts, low):
    rng = np.random.default_rng(20_26)
    shapes = bodies()
    held, widest = 0, 0.0
    for k in range(cuts):
        draft, truth = holed(*shapes[k % len(shapes)], rng, low=low)
        master = as_it_comes(draft, tmp_path / "cut.stl")
        held += master.volume_low_mm3 <= truth <= master.volume_high_mm3
        widest = max(widest, (master.volume_high_mm3 - master.volume_low_mm3) / truth)
    assert held >= 0.99 * cuts
    assert widest <= 0.005


def test_doubt_grows_with_the_cube_of_the_size():
    rng = np.random.default_rng(5)
    draft, _ = holed(*bodies()[0], rng)
    (small,) = closed(draft, Closing((), tuple(rims(draft)), ()))[1]
    assert small.doubt >= UNSURE * sum(rim.area * rim.width for rim in rims(draft))
    matrix = np.diag([3.0, 3.0, 3.0, 1.0])
    assert small.moved(matrix).doubt == pytest.approx(27 * small.doubt)
    assert small.moved(matrix).area == pytest.approx(9 * small.area)


def test_a_rim_on_a_surface_of_second_order_is_smooth_and_noise_is_found():
    angle = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    circle = np.column_stack([np.cos(angle), np.sin(angle), np.zeros(200)])
    rim = Rim(np.arange(200), 6.28, 2.0, 3.14, (0.0, 0.0, 0.0), np.array([0.0, 0.0, 1.0]), 0.5)
    saddle = np.vstack([circle, 1.3 * circle])
    saddle[:, 2] = 0.4 * saddle[:, 0] ** 2 - 0.3 * saddle[:, 0] * saddle[:, 1] + 0.1
    assert roughness(rim, saddle) == pytest.approx(0.0, abs=1e-12)
    noise = np.random.default_rng(1).normal(0.0, 0.02, len(saddle))
    saddle[:, 2] += noise
    assert roughness(rim, saddle) == pytest.approx(0.02, rel=0.1)
    assert volume_doubt(rim, saddle, 0.5) == pytest.approx(
        0.5 + UNSURE * 3.14 * 2 + ROUGH * 3.14 * 0.02, rel=0.1
    )
