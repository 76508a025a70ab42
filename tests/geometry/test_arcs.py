"""Arcs of a surface: shortcuts laid flat by hand, rows and prices against dictionaries."""

from __future__ import annotations

import numpy as np
import pytest
from test_paths import grid, random_sphere

from partline.geometry.arcs import arcs_along, arcs_of, price_of
from partline.geometry.surface import Surface


def test_a_shortcut_is_the_straight_line_over_a_flat_edge() -> None:
    surface = grid(1, 1)  # the diagonal joins 0 and 3; the shortcut crosses it at its middle
    arcs = arcs_of(surface)
    cut = np.flatnonzero((arcs.ends[:, :2] != arcs.ends[:, 2:]).any(axis=1))
    assert cut.tolist() == [5]  # behind the five edges
    assert sorted(arcs.ends[5, :2].tolist()) == [1, 2]
    assert arcs.ends[5, 2:].tolist() == [0, 3]
    np.testing.assert_allclose(arcs.form[5], [np.sqrt(2), 0.5, np.sqrt(2) / 2], rtol=1e-12)


def test_a_shortcut_keeps_its_length_when_the_edge_is_folded() -> None:
    flat = grid(1, 1)
    bent = np.array(flat.vertices)
    bent[1] = [0.5, 0.5, np.sqrt(0.5)]  # the far corner of one triangle, swung up by 90 degrees
    lengths = [arcs_of(Surface(p, flat.faces)).form[-1, 0] for p in (flat.vertices, bent)]
    assert lengths[1] == pytest.approx(lengths[0], rel=1e-12)


def test_a_line_that_misses_the_edge_and_an_edge_of_three_faces_make_no_shortcut() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [3, 1, 0], [3, -1, 0], [0.5, 0, 1.0]])
    beyond = Surface(points, [[0, 1, 2], [1, 0, 3]])
    assert len(arcs_of(beyond).ends) == len(beyond.edges)
    points[2:4, 0] = 0.5
    assert len(arcs_of(Surface(points, [[0, 1, 2], [1, 0, 3]])).ends) == 5 + 1
    crowded = Surface(points, [[0, 1, 2], [1, 0, 3], [0, 1, 4]])
    assert len(arcs_of(crowded).ends) == len(crowded.edges)


def test_every_arc_stands_in_the_rows_of_both_its_ends() -> None:
    surface = random_sphere(200)
    arcs = arcs_of(surface)
    assert len(arcs.ends) > 1.5 * len(surface.edges)
    expected: dict[int, set[tuple[int, int]]] = {v: set() for v in range(200)}
    for number, (one, two) in enumerate(arcs.ends[:, :2].tolist()):
        expected[one].add((two, number))
        expected[two].add((one, number))
    for v in range(200):
        row = slice(arcs.starts[v], arcs.starts[v + 1])
        found = list(zip(arcs.columns[row].tolist(), arcs.number[row].tolist(), strict=True))
        assert len(found) == len(set(found))
        assert set(found) == expected[v]


def test_an_arc_costs_its_length_times_the_price_along_it() -> None:
    surface = random_sphere(120)
    arcs = arcs_of(surface)
    density = np.random.default_rng(4).uniform(1, 5, 120)
    shut = int(arcs.ends[-1, 2])  # an end of the edge that the last shortcut crosses
    barred = density.copy()
    barred[shut] = np.inf
    for k in range(len(arcs.ends)):
        one, two, low, high = arcs.ends[k]
        length, share, first = arcs.form[k]
        middle = (1 - share) * density[low] + share * density[high]
        cost = first * (density[one] + middle) / 2 + (length - first) * (middle + density[two]) / 2
        assert price_of(arcs.ends, arcs.form, k, density) == pytest.approx(cost, rel=1e-12)
        touched = shut in arcs.ends[k]
        assert np.isinf(price_of(arcs.ends, arcs.form, k, barred)) == touched


def test_of_arcs_between_the_same_vertices_the_cheapest_is_found() -> None:
    # A tetrahedron: across each edge a shortcut joins two vertices that an edge joins too.
    points = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1.0]])
    arcs = arcs_of(Surface(points, [[0, 1, 2], [0, 3, 1], [0, 2, 3], [1, 3, 2]]))
    assert len(arcs.ends) == 12
    found = arcs_along(np.array([0, 1, 3], dtype=np.int32), np.ones(4), *arcs)
    assert (found < 6).all()  # the edges: they are shorter
    assert [sorted(arcs.ends[k, :2].tolist()) for k in found] == [[0, 1], [1, 3]]
    none = arcs_along(np.array([0, 1], dtype=np.int32), np.full(4, np.inf), *arcs)
    assert none.tolist() == [-1]
