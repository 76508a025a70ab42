from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from partline.errors import NoPath
from partline.geometry.paths import bottleneck, cheapest_path, priced, surface_graph
from partline.geometry.surface import Surface


def grid(nx_: int, ny: int, h: float = 1.0) -> Surface:
    x, y = np.meshgrid(np.arange(nx_ + 1), np.arange(ny + 1), indexing="ij")
    points = np.column_stack([h * x.ravel(), h * y.ravel(), np.zeros(x.size)])
    i, j = np.meshgrid(np.arange(nx_), np.arange(ny), indexing="ij")
    a = (i * (ny + 1) + j).ravel()
    b, c, d = a + ny + 1, a + ny + 2, a + 1
    return Surface(points, np.concatenate([np.column_stack(q) for q in ((a, b, c), (a, c, d))]))


def random_sphere(n: int, seed: int = 3) -> Surface:
    points = np.random.default_rng(seed).normal(size=(n, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    faces = ConvexHull(points).simplices
    a, b, c = (points[faces[:, k]] for k in range(3))
    inside = np.einsum("ij,ij->i", np.cross(b - a, c - a), a) < 0
    faces[inside] = faces[inside][:, ::-1]
    return Surface(points, faces)


def test_shortcuts_mend_most_of_the_error_of_edges_on_a_grid() -> None:
    """Grid with one diagonal: 41 % at worst on edges, 8.24 % with shortcuts (octile bound)."""
    surface = grid(40, 40)
    far = np.linalg.norm(surface.vertices - surface.vertices[20 * 41 + 20], axis=1)
    ring = far > 5
    worst = []
    for shortcuts in (False, True):
        found = priced(surface_graph(surface, shortcuts=shortcuts)).ways([20 * 41 + 20]).cost
        worst.append((found[ring] / far[ring] - 1).max())
        assert (found >= far - 1e-9).all()
    assert worst[0] == pytest.approx(np.sqrt(2) - 1, abs=1e-6)
    assert 0.07 < worst[1] <= 0.0824


def test_a_path_runs_from_its_source_to_its_target_and_its_points_lie_on_its_edges() -> None:
    surface = random_sphere(400)
    network = priced(surface_graph(surface))
    path = cheapest_path(network, [7], [211])
    assert tuple(path.ends[0]) == (7, 7)
    assert tuple(path.ends[-1]) == (211, 211)
    assert path.cost == pytest.approx(path.length_mm, rel=1e-12)
    assert path.cost == pytest.approx(network.ways([7]).cost[211], rel=1e-12)
    back = cheapest_path(network, [211], [7])
    assert back.cost == pytest.approx(path.cost, rel=1e-12)
    np.testing.assert_allclose(path.sample(surface.vertices), path.points, atol=1e-12)


def test_of_many_sources_and_targets_the_nearest_pair_is_joined() -> None:
    surface = grid(10, 3)
    network = priced(surface_graph(surface))
    path = cheapest_path(network, [0, 1, 4 * 4 + 1], [4 * 6 + 1, 4 * 10 + 3])
    assert path.ends[0, 0] == 17
    assert path.ends[-1, 0] == 25
    assert path.cost == pytest.approx(2.0)


def test_a_dear_strip_is_gone_round_or_paid_for() -> None:
    surface = grid(20, 20)
    x, y, _ = surface.vertices.T
    wall = (x == 10) & (y < 20)
    dear = np.where(wall, 100.0, 1.0)
    network = priced(surface_graph(surface), dear)
    path = cheapest_path(network, [0], [20 * 21])
    assert path.points[:, 1].max() == 20.0
    np.testing.assert_allclose(network.ways([0]).cost[20 * 21], path.cost, rtol=1e-12)


def test_no_path_names_both_parts_and_their_sizes() -> None:
    surface = grid(10, 4)
    shut = np.where(surface.vertices[:, 0] == 6, np.inf, 1.0)
    with pytest.raises(NoPath) as caught:
        cheapest_path(priced(surface_graph(surface), shut), [0], [54], names="the back line")
    text = str(caught.value)
    assert "the back line" in text
    assert "30 vertices" in text  # six columns of five on this side of the wall
    assert "20 vertices" in text  # four beyond it
    assert "5 vertices between" in text
    assert "stay-off" in text


def test_no_path_says_when_the_start_itself_is_shut() -> None:
    surface = grid(4, 4)
    shut = np.where(surface.vertices[:, 0] == 0, np.inf, 1.0)
    with pytest.raises(NoPath, match="no vertex of the start is free"):
        cheapest_path(priced(surface_graph(surface), shut), [0, 1], [24])


def test_two_meshes_in_one_have_no_path_between_them() -> None:
    one = trimesh.creation.icosphere(2)
    two = trimesh.creation.icosphere(1)
    two.apply_translation([5, 0, 0])
    both = trimesh.util.concatenate([one, two])
    surface = Surface(both.vertices, both.faces)
    with pytest.raises(NoPath, match=r"162 vertices.*42 vertices"):
        cheapest_path(priced(surface_graph(surface)), [0], [170])


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan])
def test_a_density_must_be_positive(bad: float) -> None:
    surface = grid(2, 2)
    density = np.ones(9)
    density[3] = bad
    with pytest.raises(ValueError, match="greater than 0"):
        priced(surface_graph(surface), density)


def test_turning_and_renumbering_change_nothing() -> None:
    surface = random_sphere(500, 5)
    field = 1 + surface.vertices[:, 2] ** 2
    there = priced(surface_graph(surface), field).ways([3]).cost
    turn = trimesh.transformations.rotation_matrix(0.7, [0.3, 0.6, 0.1])
    moved = priced(surface_graph(surface.moved(turn)), field).ways([3]).cost
    np.testing.assert_allclose(moved, there, rtol=1e-9)
    order = np.random.default_rng(1).permutation(500)
    place = np.argsort(order)
    mixed = Surface(surface.vertices[order], np.roll(place[surface.faces][::-1], 1, axis=1))
    renumbered = priced(surface_graph(mixed), field[order]).ways([place[3]]).cost
    np.testing.assert_allclose(renumbered[place], there, rtol=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_the_bottleneck_is_the_minimax_path(seed: int) -> None:
    """Against the path in a minimum spanning tree (networkx): the same least worst value."""
    surface = random_sphere(150, seed)
    value = np.random.default_rng(seed + 50).random(150)
    graph = nx.Graph()
    for a, b in surface.edges.tolist():
        graph.add_edge(a, b, weight=max(value[a], value[b]))
    tree = nx.minimum_spanning_tree(graph)
    sources, targets = [1, 2, 3], [100, 120]
    best = min(
        max(value[v] for v in nx.shortest_path(tree, s, t)) for s in sources for t in targets
    )
    found, place = bottleneck(surface, value, sources, targets)
    assert found == best
    assert value[place] == found


def test_the_bottleneck_of_what_is_shut_off_is_infinite() -> None:
    surface = grid(6, 3)
    value = np.where(surface.vertices[:, 0] == 3, np.inf, 0.5)
    assert bottleneck(surface, value, [0], [24]) == (np.inf, -1)
