"""How processor time grows with the mesh: the slope on log-log axes, all sizes in one run.

A body is meshed ever more finely, its form and the lengths asked for staying the same. Slopes are
of processor time, so that a busy machine does not matter much; a third of slack is left.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from time import process_time

import numpy as np
import pytest
import trimesh
from bodies import roughened, torus

from partline.air.cavity import Cavity
from partline.air.rims import openings
from partline.detail.hard_edges import find_hard_edges
from partline.detail.relief import detail_map
from partline.geometry.curvature import principal_curvatures
from partline.geometry.noise import random_per_vertex, vertex_noise
from partline.geometry.operators import edge_lengths
from partline.geometry.paths import SurfacePath, cheapest_path, priced, surface_graph
from partline.geometry.rays import build_tree
from partline.geometry.straighten import refined, straightened
from partline.geometry.surface import Surface
from partline.scan.draft import Draft
from partline.scan.reading import read_master
from partline.scan.repairing import cleaned, solid

pytestmark = pytest.mark.slow
STEPS = (0.8, 0.4, 0.2)  # 4 times the triangles each: 10, 39 and 158 thousand


@pytest.fixture(scope="module")
def meshes() -> list[Surface]:
    found = [roughened(torus(20, 8, step), 0.01 * step) for step in STEPS]
    for mesh in found:
        _ = mesh.vertex_normals, mesh.edges
    return found


def slope(work: Callable[[Surface], object], meshes: list[Surface]) -> float:
    work(meshes[0])  # compiled
    # The largest pair: fixed costs fade. Both are run in every turn, and the least of two turns
    # and a second at least counts: a millisecond taken once or twice tells of the machine.
    pair = meshes[-2:]
    least, spent, turns = [np.inf, np.inf], 0.0, 0
    while turns < 2 or spent < 1.0:
        for k, mesh in enumerate(pair):
            begun = process_time()
            work(mesh)
            took = process_time() - begun
            least[k] = min(least[k], took)
            spent += took
        turns += 1
    found = float(np.log(least[1] / least[0]) / np.log(len(pair[1].faces) / len(pair[0].faces)))
    print(f"{[round(t, 4) for t in least]} s, least of {turns}, slope {found:.2f}")
    return found


def test_steps_that_see_each_triangle_once(meshes: list[Surface]) -> None:
    works: dict[str, Callable[[Surface], object]] = {
        "tree for rays": build_tree,
        # As far as its own edges tell: how many of them a rounding may span stays the same.
        "hard edges": lambda s: find_hard_edges(
            s,
            noise_mm=0.01 * float(np.median(edge_lengths(s))),
            edge_mm=float(np.median(edge_lengths(s))),
        ),
        # Without noise the fit covers as many vertices on each mesh.
        "curvature": lambda s: principal_curvatures(s, noise_mm=0.0, form_mm=8.0),
    }
    for name, work in works.items():
        print(name, end=": ")
        assert slope(work, meshes) < 1.33, name


def test_the_rims_of_many_regions_grow_as_the_mesh(meshes: list[Surface]) -> None:
    # The finer the mesh, the more specks of it are narrow: each costs what it covers.
    cavities = {id(mesh): Cavity(mesh, [0]) for mesh in meshes}

    def looked_at(mesh: Surface) -> None:
        fans = cavities[id(mesh)].fans
        regions = [fans.neighbours[fans.starts[v] : fans.starts[v + 1]]
                   for v in range(0, len(fans.vertices), 100)]  # fmt: skip
        openings(fans, np.ones(len(fans.vertices)), regions, 20.0)

    assert slope(looked_at, meshes) < 1.33


def test_noise_costs_the_same_beyond_its_sample(meshes: list[Surface]) -> None:
    drawn = {id(mesh): random_per_vertex(mesh, 1) for mesh in meshes}
    assert slope(lambda s: vertex_noise(s, drawn[id(s)]), meshes) < 1.0


def test_detail_grows_with_the_steps_its_solver_needs(meshes: list[Surface]) -> None:
    # A finer mesh needs more steps for the same length: at most n^1.5, and less, as coarse octaves
    # are looked at on coarser meshes.
    assert slope(detail_map, meshes) < 1.5


def test_reading_grows_as_the_file(meshes: list[Surface], tmp_path: Path) -> None:
    # From the bytes on the disk to a master, every look for faults among it.
    files: dict[int, Path] = {}
    for k, mesh in enumerate(meshes):
        files[id(mesh)] = tmp_path / f"{k}.ply"
        trimesh.Trimesh(mesh.vertices, mesh.faces, process=False).export(files[id(mesh)])
    assert slope(lambda s: read_master(files[id(s)], units="mm"), meshes) < 1.4


def test_repair_grows_as_the_mesh(meshes: list[Surface]) -> None:
    # Each face with corners of its own, some faces turned over and one missing.
    def broken(mesh: Surface) -> Draft:
        faces = np.arange(3 * len(mesh.faces)).reshape(-1, 3)[1:]
        faces[::97] = faces[::97, ::-1]
        points = mesh.vertices[mesh.faces].reshape(-1, 3)
        return Draft(points, faces, np.arange(len(faces)))

    drafts = {id(mesh): broken(mesh) for mesh in meshes}
    assert slope(lambda s: solid(cleaned(drafts[id(s)])[0]), meshes) < 1.3


def test_a_route_grows_as_the_graph(meshes: list[Surface]) -> None:
    def drawn(mesh: Surface) -> SurfacePath:
        graph = surface_graph(mesh)
        density = 1.0 + 0.5 * np.sin(mesh.vertices[:, 0]) ** 2
        network = priced(graph, density)
        ends = int(np.argmin(mesh.vertices[:, 0])), int(np.argmax(mesh.vertices[:, 0]))
        path = refined(network, cheapest_path(network, [ends[0]], [ends[1]]))
        return straightened(mesh, density, path)

    # Dijkstra's queue: n log n.
    assert slope(drawn, meshes) < 1.3
