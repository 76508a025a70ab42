from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import bollard

from partline.cut.seen import BLADE_RISE, reach_of, seen_from, show_directions, spots_of
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


def test_what_is_seen_enough_is_told_without_looking_on() -> None:
    piece = bollard()
    directions = show_directions("all round")
    whole = seen_from(piece, directions)
    for enough in (0.1, 0.3, 0.5, 1.0):
        some = seen_from(piece, directions, enough=enough)
        np.testing.assert_array_equal(some >= enough - 1e-9, whole >= enough - 1e-9)
        assert (some <= whole).all()
    np.testing.assert_array_equal(seen_from(piece, directions, enough=1.0), whole)


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


def test_a_blade_gets_everywhere_on_a_ball_as_deep_as_its_skin_curves_away() -> None:
    ball = trimesh.creation.icosphere(4, 10)
    ball.apply_translation([0.0, 0.0, 40.0])
    piece = Surface(ball.vertices, ball.faces)
    reach = reach_of(piece, wall_mm=10.0, height_mm=80.0)
    assert reach.shut.max() == 0
    # From where the skin faces a direction of the fan, straight out: R less the radius there.
    x, y, z = piece.vertices.T
    faced = (np.abs(y) < 1e-9) & (np.abs(z - 40.0) < 9.0)
    np.testing.assert_allclose(reach.deep_mm[faced], 10.0 - np.abs(x[faced]), atol=0.02)
    assert (
        reach.deep_mm[np.abs(z - 40.0) < 9.0]
        >= (10.0 - np.hypot(x, y))[np.abs(z - 40.0) < 9.0] - 0.02
    ).all()


def test_a_blade_comes_out_of_the_side_not_of_the_mouth_face() -> None:
    """Near the mouth face the directions that rise toward it are shut, a third of the fan."""
    post = trimesh.creation.cylinder(10.0, 60.0, sections=64).subdivide().subdivide()
    post.apply_translation([0.0, 0.0, 30.0])
    piece = Surface(post.vertices, post.faces)
    reach = reach_of(piece, wall_mm=10.0, height_mm=75.0)
    x, y, z = piece.vertices.T
    side = np.hypot(x, y) > 9.9
    slope = np.tan(np.radians(BLADE_RISE))
    # Ten millimetres of wall, and a fan that starts up to 45 degrees from straight out.
    low, clear = z < 10.0 * slope, (z > 13.0 * slope) & (z < 59.0)
    np.testing.assert_allclose(reach.shut[side & low & (z > 1.0)], 1 / 3)
    assert reach.shut[side & clear].max() == 0


def test_a_blade_does_not_get_into_a_slot() -> None:
    block = trimesh.creation.box([40, 40, 20])
    slot = trimesh.creation.box([30, 2, 30])
    cut = trimesh.boolean.difference([block, slot])
    cut = cut.subdivide().subdivide().subdivide()
    cut.apply_translation([0.0, 0.0, 40.0])
    piece = Surface(cut.vertices, cut.faces)
    reach = reach_of(piece)
    x, y, z = piece.vertices.T
    deep = (np.abs(np.abs(y) - 1) < 1e-6) & (np.abs(x) < 5) & (np.abs(z - 40.0) < 5)
    outside = np.abs(y) > 20 - 1e-6
    assert deep.any()
    assert reach.shut[deep].min() == 1
    # Through the block it would be so far at least: from the end of the slot's middle to its side.
    assert reach.deep_mm[deep].min() > 15.0
    flat = outside & (np.abs(x) < 15) & (np.abs(z - 40.0) < 8)
    assert reach.shut[flat].max() == 0
    np.testing.assert_allclose(reach.deep_mm[flat], 0.0, atol=1e-9)


def test_a_hand_goes_to_the_outside_of_a_horseshoe_rather_than_into_it() -> None:
    """Open to the back: its inside is got to, but as far past the silhouette as it is deep."""
    shoe = trimesh.boolean.difference(
        [trimesh.creation.cylinder(20.0, 50.0, sections=96),
         trimesh.creation.cylinder(14.0, 60.0, sections=96),
         trimesh.creation.box([28.0, 40.0, 60.0], trimesh.transformations.translation_matrix(
             [0.0, 20.0, 0.0]))]
    )  # fmt: skip
    shoe.apply_translation([0.0, 0.0, 60.0])
    shoe = shoe.subdivide_to_size(4.0)
    piece = Surface(shoe.vertices, shoe.faces)
    reach = reach_of(piece, wall_mm=10.0)
    x, y, z = piece.vertices.T
    middle = np.abs(z - 60.0) < 4.0
    inside = middle & (np.hypot(x, y) < 14.1) & (y < -12.0)
    outside = middle & (np.hypot(x, y) > 19.9) & (y < -5.0)
    assert inside.any()
    assert (reach.deep_mm[inside] >= y.max() - y[inside] - 1e-9).all()
    np.testing.assert_allclose(reach.deep_mm[outside], 0.0, atol=0.01)
