"""Paths on points along edges: against a graph of all lines within faces (networkx)."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from test_paths import random_sphere

from partline.geometry.paths import make_path
from partline.geometry.steiner import through_faces


@pytest.mark.parametrize("per_edge", [1, 3])
def test_a_path_costs_what_the_graph_of_all_lines_says(per_edge: int) -> None:
    surface = random_sphere(60)
    rng = np.random.default_rng(5)
    density = np.where(rng.uniform(size=60) < 0.1, np.inf, rng.uniform(1, 4, 60))
    near = surface.vertices[:, 2] > -0.4
    low, high = surface.vertices[:, 0].argsort()[[8, -8]]
    density[[low, high]] = 1.0
    near[[low, high]] = True
    graph = nx.Graph()
    steps = np.arange(1, per_edge + 1) / (per_edge + 1)

    def nodes(a: int, b: int) -> list[tuple[int, int, float]]:
        return [(min(a, b), max(a, b), float(s)) for s in steps]

    def place(node: tuple[int, int, float]) -> tuple[np.ndarray, float]:
        a, b, s = node
        if a == b:
            return surface.vertices[a], density[a]
        price = (1 - s) * density[a] + s * density[b]
        return (1 - s) * surface.vertices[a] + s * surface.vertices[b], price

    for face in surface.faces.tolist():
        if not near[face].all():
            continue
        mine = [(v, v, 0.0) for v in face]
        for a, b in itertools.combinations(face, 2):
            mine += nodes(a, b)
        for one, two in itertools.combinations(mine, 2):
            (p, price), (q, other) = place(one), place(two)
            if np.isfinite(price) and np.isfinite(other):
                cost = float(np.linalg.norm(p - q) * (price + other) / 2)
                graph.add_edge(one, two, weight=cost)
    best = nx.dijkstra_path_length(graph, (low, low, 0.0), (high, high, 0.0))
    ends, share = through_faces(surface, density, near, int(low), int(high), per_edge=per_edge)
    assert ends[0].tolist() == [low, low]
    assert ends[-1].tolist() == [high, high]
    assert make_path(surface, density, ends, share).cost == pytest.approx(best, rel=1e-12)


def test_where_nothing_leads_the_goal_stands_alone() -> None:
    surface = random_sphere(60)
    near = np.abs(surface.vertices[:, 2]) > 0.5
    low, high = int(surface.vertices[:, 2].argmin()), int(surface.vertices[:, 2].argmax())
    ends, share = through_faces(surface, np.ones(60), near, low, high, per_edge=2)
    assert ends.tolist() == [[high, high]]
    assert share.tolist() == [0.0]
