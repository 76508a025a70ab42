"""Patches against connected components of another library."""

from __future__ import annotations

import networkx as nx
import numpy as np
from test_paths import grid, random_sphere

from partline.geometry.patches import next_to, patches, way_leads


def test_patches_are_the_connected_components_of_the_marked_vertices() -> None:
    surface = random_sphere(300)
    marked = np.random.default_rng(1).uniform(size=300) < 0.4
    graph = nx.Graph()
    graph.add_nodes_from(range(300))
    graph.add_edges_from(surface.edges.tolist())
    expected = {
        frozenset(c) for c in nx.connected_components(graph.subgraph(np.flatnonzero(marked)))
    }
    label = patches(surface, marked)
    assert (label >= 0).tolist() == marked.tolist()
    numbers = range(int(label.max()) + 1)
    assert {frozenset(np.flatnonzero(label == k)) for k in numbers} == expected
    seeds = np.flatnonzero(marked)[[0, 40]]
    some = patches(surface, marked, seeds=[*seeds, int(np.flatnonzero(~marked)[0])])
    wanted = {c for c in expected if c & set(seeds)}
    assert {frozenset(np.flatnonzero(some == k)) for k in range(int(some.max()) + 1)} == wanted
    beside = next_to(surface, marked)
    assert set(np.flatnonzero(beside)) == {v for k in np.flatnonzero(marked) for v in graph[k]}


def test_a_way_leads_where_nothing_is_shut() -> None:
    surface = grid(6, 3)
    wall = surface.vertices[:, 0] != 3
    assert not way_leads(surface, wall, [0], [24, 27])
    gap = wall | (surface.vertices[:, 1] == 3)
    assert way_leads(surface, gap, [0], [24, 27])
    assert not way_leads(surface, gap, [0], [])
