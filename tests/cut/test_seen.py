from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import bollard

from partline.cut.seen import seen_from, show_directions, shut_to_blade, spots_of
from partline.errors import JobError
from partline.geometry.surface import Surface


def test_the_front_of_a_ball_is_seen_and_its_back_is_not() -> None:
    mesh = trimesh.creation.icosphere(4, 10)
    piece = Surface(mesh.vertices, mesh.faces)
    share = seen_from(piece, show_directions("front"))
    y = piece.vertices[:, 1]
    assert share[y < -9].min() == 1
    assert share[y > 7].max() == 0
    assert set(np.unique(seen_from(piece, np.array([[0.0, -1.0, 0.0]])))) == {0.0, 1.0}
    assert seen_from(piece, show_directions("all round")).min() > 0.0 or y.min() < 0


def test_what_stands_before_something_hides_it() -> None:
    screen = trimesh.creation.box([20, 1, 20])
    screen.apply_translation([0, -10, 0])
    ball = trimesh.creation.icosphere(3, 5)
    both = trimesh.util.concatenate([ball, screen])
    share = seen_from(Surface(both.vertices, both.faces), np.array([[0.0, -1.0, 0.0]]))
    assert share[: len(ball.vertices)].max() == 0


def test_fewer_samples_move_only_the_edge_of_the_shadow() -> None:
    piece = bollard()
    directions = show_directions("front")
    every = seen_from(piece, directions, spots=spots_of(piece, 10**9))
    some = seen_from(piece, directions, spots=spots_of(piece, 2500))
    assert np.abs(every - some).mean() < 0.02


def test_directions_of_show_are_unit_vectors_that_grow_in_reach() -> None:
    for show, count in (("front", 10), ("front and sides", 14), ("all round", 24)):
        found = show_directions(show)
        assert len(found) == count
        np.testing.assert_allclose(np.linalg.norm(found, axis=1), 1)
    assert (show_directions("front")[:, 1] < 0).all()
    with pytest.raises(JobError, match="all round"):
        show_directions("from below")


def test_a_blade_gets_everywhere_on_a_post_and_not_into_a_slot() -> None:
    ball = trimesh.creation.icosphere(4, 10)
    assert shut_to_blade(Surface(ball.vertices, ball.faces)).max() == 0
    block = trimesh.creation.box([40, 40, 20])
    slot = trimesh.creation.box([30, 2, 30])
    cut = trimesh.boolean.difference([block, slot])
    cut = cut.subdivide().subdivide().subdivide()
    piece = Surface(cut.vertices, cut.faces)
    shut = shut_to_blade(piece)
    x, y, z = piece.vertices.T
    deep = (np.abs(np.abs(y) - 1) < 1e-6) & (np.abs(x) < 5) & (np.abs(z) < 5)
    outside = np.abs(y) > 20 - 1e-6
    assert deep.any()
    assert shut[deep].min() == 1
    assert shut[outside & (np.abs(x) < 15) & (np.abs(z) < 8)].max() == 0
