"""Weighted lines whose cost is known in closed form, and the same piece on coarser meshes."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh

from partline.geometry.paths import cheapest_path, priced, surface_graph
from partline.geometry.straighten import refined
from partline.geometry.surface import Surface

SCANS = os.environ.get("PARTLINE_SCANS", "")
RADIUS = 10.0


def ball(level: int) -> Surface:
    mesh = trimesh.creation.icosphere(level, RADIUS)
    return Surface(mesh.vertices, mesh.faces)


def valley(surface: Surface, colatitude: float) -> np.ndarray:
    """A density under which the circle of latitude is the valley: w sin t is least there."""
    t = np.arccos(surface.vertices[:, 2] / RADIUS)
    return (1 + 8 * (t - colatitude) ** 2) / np.maximum(np.sin(t), 0.2)


def at(surface: Surface, colatitude: float, azimuth: float) -> int:
    place = [np.sin(colatitude) * np.cos(azimuth), np.sin(colatitude) * np.sin(azimuth),
             np.cos(colatitude)]  # fmt: skip
    return int(np.argmax(surface.vertices @ place))


def cost_along(surface: Surface, colatitude: float, turn: float) -> float:
    start, stop = at(surface, colatitude, 0.0), at(surface, colatitude, turn)
    network = priced(surface_graph(surface), valley(surface, colatitude))
    return refined(network, cheapest_path(network, [start], [stop])).cost


@pytest.mark.parametrize("colatitude", [0.9, 1.2])
def test_a_circle_of_latitude_costs_what_its_closed_form_says(colatitude: float) -> None:
    """Elementary: cost R sin(t) w(t) dphi, a geodesic of the weighted sphere where
    cot t = -w' / w. Three thirds of the loop, each within 1 %."""
    surface = ball(5)
    third = 2 * np.pi / 3
    found = cost_along(surface, colatitude, third)
    start, stop = (surface.vertices[at(surface, colatitude, a)] for a in (0.0, third))
    between = (np.arctan2(stop[1], stop[0]) - np.arctan2(start[1], start[0])) % (2 * np.pi)
    assert found == pytest.approx(RADIUS * between, rel=0.01)


def test_a_quarter_of_the_triangles_changes_the_cost_by_less_than_one_per_cent() -> None:
    fine, coarse = cost_along(ball(6), 1.1, 2.0), cost_along(ball(5), 1.1, 2.0)
    assert coarse == pytest.approx(fine, rel=0.01)


@pytest.mark.slow
@pytest.mark.skipif(not SCANS, reason="PARTLINE_SCANS is not set: no real scans to test on")
def test_on_a_real_animal_lines_are_within_one_per_cent_of_exact_geodesics() -> None:
    """Against Mitchell, Mount and Papadimitriou (1987), by pygeodesic (MIT)."""
    geodesic = pytest.importorskip("pygeodesic.geodesic")
    mesh = trimesh.load(Path(SCANS) / "koala.obj", process=False)
    surface = Surface(mesh.vertices, mesh.faces)
    solver = geodesic.PyGeodesicAlgorithmExact(surface.vertices, surface.faces)
    exact = solver.geodesicDistances(np.array([0]))[0]
    network = priced(surface_graph(surface))
    targets = np.random.default_rng(2).choice(len(exact) - 1, 8, replace=False) + 1
    for target in targets.tolist():
        path = refined(network, cheapest_path(network, [0], [target]))
        assert exact[target] * (1 - 1e-5) <= path.length_mm <= exact[target] * 1.01
