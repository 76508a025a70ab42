"""A quarter of the triangles by clusters of vertices."""

from __future__ import annotations

import numpy as np
from bodies import plate, random_sphere, roughened, torus

from partline.detail.thinning import thinned
from partline.geometry.operators import edge_lengths, mass_and_laplacian
from partline.geometry.surface import Surface
from partline.geometry.volume import volume


def _mass(surface: Surface) -> np.ndarray:
    return mass_and_laplacian(surface)[0]


def test_a_closed_body_stays_closed_and_keeps_its_form() -> None:
    for body in (torus(20, 8, 0.4), random_sphere(20_000, 15.0), roughened(torus(20, 8, 0.8), 0.1)):
        thin, into = thinned(body, _mass(body))
        assert 3.3 < len(body.faces) / len(thin.faces) < 5.2
        sides = thin.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        _, count = np.unique(np.sort(sides, axis=1), axis=0, return_counts=True)
        # Closed: every edge has two sides, and next to none is shared by two folds.
        assert (count % 2 == 0).all()
        assert (count == 2).mean() > 0.999
        assert len(np.unique(into)) == len(thin.vertices)
        # A body so round loses what lies between its curve and the longer edges.
        assert 0.98 < volume(thin) / volume(body) < 1.0
        # Equal triangles or nearly: no sliver to make a heat step slow.
        lengths = edge_lengths(thin) / np.median(edge_lengths(thin))
        assert np.percentile(lengths, 1) > 0.45
        assert np.percentile(lengths, 99) < 1.75


def test_a_vertex_is_the_middle_of_those_it_took_in() -> None:
    body = random_sphere(5_000, 15.0)
    mass = _mass(body)
    thin, into = thinned(body, mass)
    for k in (0, 17, len(thin.vertices) - 1):
        own = into == k
        middle = np.average(body.vertices[own], axis=0, weights=mass[own])
        np.testing.assert_allclose(thin.vertices[k], middle, atol=1e-9)


def test_the_sides_of_a_thin_wall_are_never_one_vertex() -> None:
    # Two sheets a hundredth of an edge apart, joined nowhere.
    sheet = plate(20, 20, 0.5, lambda x, _: 0 * x)
    n = len(sheet.vertices)
    wall = Surface(
        np.vstack([sheet.vertices, sheet.vertices - np.array([0.0, 0.0, 0.005])]),
        np.vstack([sheet.faces, sheet.faces[:, ::-1] + n]),
    )
    _, into = thinned(wall, _mass(wall))
    assert not np.intersect1d(into[:n], into[n:]).size


def test_numbering_changes_nothing() -> None:
    body = roughened(random_sphere(5_000, 15.0), 0.05)
    order = np.random.default_rng(0).permutation(len(body.vertices))
    other = Surface(body.vertices[order], np.argsort(order)[body.faces])
    mine, theirs = thinned(body, _mass(body))[0], thinned(other, _mass(other))[0]
    assert len(mine.vertices) == len(theirs.vertices)
    np.testing.assert_allclose(
        mine.vertices[np.lexsort(mine.vertices.T)], theirs.vertices[np.lexsort(theirs.vertices.T)],
        atol=1e-9,
    )  # fmt: skip
