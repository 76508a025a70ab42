"""Paths against exact geodesics of the same mesh: pygeodesic (MIT), the algorithm of Mitchell,
Mount and Papadimitriou (1987), which shares no code with ours."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from partline.geometry.lower_bound import least_possible
from partline.geometry.paths import cheapest_path, priced, surface_graph
from partline.geometry.straighten import refined
from partline.geometry.surface import Surface

geodesic = pytest.importorskip("pygeodesic.geodesic")


def sphere() -> Surface:
    mesh = trimesh.creation.icosphere(4)
    return Surface(mesh.vertices, mesh.faces)


def torus() -> Surface:
    mesh = trimesh.creation.torus(3, 1, major_sections=96, minor_sections=36)
    return Surface(mesh.vertices, mesh.faces)


def random() -> Surface:
    points = np.random.default_rng(0).normal(size=(3000, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    return Surface(points, ConvexHull(points).simplices)


def exact_from(surface: Surface, source: int) -> np.ndarray:
    solver = geodesic.PyGeodesicAlgorithmExact(surface.vertices, surface.faces)
    return solver.geodesicDistances(np.array([source]))[0]


# Error of the graph with one shortcut across each edge, mean and worst: about 1.5 / 5 % on an
# icosphere, 2 / 10 % on a random mesh (computed on 20 000 triangles); coarser meshes vary.
@pytest.mark.parametrize(
    ("make", "mean", "worst"), [(sphere, 0.025, 0.06), (torus, 0.03, 0.13), (random, 0.03, 0.18)]
)
def test_the_graph_with_shortcuts_is_near_and_never_short(make, mean, worst) -> None:
    surface = make()
    exact = exact_from(surface, 0)
    away = exact > 0
    found = priced(surface_graph(surface)).ways([0]).cost
    edges = priced(surface_graph(surface, shortcuts=False)).ways([0]).cost
    error = found[away] / exact[away] - 1
    assert error.min() > -1e-9
    assert error.mean() < mean
    assert error.max() < worst
    assert error.mean() < 0.6 * (edges[away] / exact[away] - 1).mean()


@pytest.mark.parametrize("make", [sphere, torus, random])
def test_a_straightened_path_is_within_one_per_cent(make) -> None:
    surface = make()
    exact = exact_from(surface, 0)
    network = priced(surface_graph(surface))
    targets = np.random.default_rng(1).choice(len(surface.vertices) - 1, 12, replace=False) + 1
    for target in targets.tolist():
        path = refined(network, cheapest_path(network, [0], [target]))
        assert exact[target] * (1 - 1e-5) <= path.length_mm <= exact[target] * 1.01


@pytest.mark.parametrize("make", [sphere, torus, random])
def test_the_lower_bound_is_below_exact_geodesics_and_within_two_per_cent(make) -> None:
    surface = make()
    exact = exact_from(surface, 0)
    for target in (1234, 2500):
        known = 1.005 * exact[target]
        ones = np.ones(len(surface.vertices))
        bound = least_possible(surface, ones, [0], [target], known=known)
        assert 0.975 * exact[target] <= bound <= exact[target]
