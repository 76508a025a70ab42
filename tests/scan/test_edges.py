from __future__ import annotations

import networkx as nx
import numpy as np

from partline.scan.edges import EdgeTable, after, fans, joined, shells


def test_joined_agrees_with_networkx():
    """Reference: connected components of networkx."""
    rng = np.random.default_rng(3)
    first, second = rng.integers(0, 300, (2, 200))
    graph = nx.Graph()
    graph.add_nodes_from(range(300))
    graph.add_edges_from(zip(first.tolist(), second.tolist(), strict=True))
    label = joined(first, second, 300)
    parts = list(nx.connected_components(graph))
    assert label.max() + 1 == len(parts)
    assert all(len(set(label[list(part)])) == 1 for part in parts)


def test_ball_obeys_euler(ball):
    table = EdgeTable.of(ball.faces)
    assert table.is_closed
    assert len(ball.vertices) - len(table.edges) + len(ball.faces) == 2
    half = np.arange(3 * len(ball.faces))
    twins = table.twins
    np.testing.assert_array_equal(twins[twins], half)
    np.testing.assert_array_equal(table.start_of(twins), table.stop_of(half))
    np.testing.assert_array_equal(after(after(after(half))), half)


def test_one_fan_at_each_vertex_and_shells(ball, both):
    table = EdgeTable.of(both(ball, ball).faces)
    assert shells(table.twins).max() == 1
    fan = fans(table.twins)
    assert fan.max() + 1 == 2 * len(ball.vertices)


def test_open_mesh(cube):
    table = EdgeTable.of(cube.faces[:-1])
    assert not table.is_closed
    assert (table.counts == 1).sum() == 3
    assert (table.twins < 0).sum() == 3
