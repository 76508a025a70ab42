from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.scan.bodies import Shells
from partline.scan.draft import Draft
from partline.scan.sharing import Sharing, sharing
from partline.scan.turning import turned


def scaled(draft: Draft, factor: float, shift=(0.0, 0.0, 0.0)) -> Draft:
    return Draft(draft.vertices * factor + shift, draft.faces, draft.file_faces)


def box(low, high) -> Draft:
    mesh = trimesh.creation.box(bounds=(low, high))
    return Draft(np.array(mesh.vertices), np.array(mesh.faces), np.arange(12))


def shared_by(draft: Draft) -> Sharing:
    parts = Shells.of(draft)
    return sharing(draft, parts.label, parts.is_closed)


def test_mirror_images_that_overlap_lie_partly_in_one_another(ball, both):
    """Their edges meet in the plane between them and pierce no face."""
    pair = both(scaled(ball, 1, (4, 0, 0)), scaled(ball, 1, (4, 0, 0)))
    pair.vertices[len(ball.vertices) :, 0] *= -1.0
    found = shared_by(pair)
    assert found.parted.tolist() == [True, True]
    assert found.held_by == [[], []]
    # Of evenly spread points as many lie within as of a sphere's area beyond the plane.
    share = found.inside / (found.inside + found.outside)
    np.testing.assert_allclose(share, 0.5 * (1 - 0.4), atol=0.01)


def test_boxes_in_common_planes(both):
    slid = both(box((0, 0, 0), (10, 10, 10)), box((5, 0, 0), (15, 10, 10)))
    assert shared_by(slid).parted.any()
    side_by_side = both(box((0, 0, 0), (10, 10, 10)), box((10, 0, 0), (20, 10, 10)))
    assert not len(shared_by(side_by_side).inner)
    within = shared_by(both(box((0, 0, 0), (10, 10, 10)), box((0, 0, 0), (5, 10, 10))))
    assert within.held_by == [[], [0]]
    assert not within.parted.any()


def test_a_hollow_all_within_is_held_and_one_that_reaches_out_is_not(ball, both):
    every = np.ones(len(ball.faces), dtype=bool)
    inward = turned(ball, every)
    assert shared_by(both(ball, scaled(inward, 0.5))).held_by == [[], [0]]
    assert shared_by(both(ball, scaled(inward, 0.5, (8, 0, 0)))).held_by == [[], []]
    # Through the skin at one place only, by less than one point in 200.
    assert shared_by(both(ball, scaled(inward, 0.5, (5.02, 0, 0)))).held_by == [[], [0]]


def test_an_open_body_holds_by_one_point_as_before(ball, both):
    middle = ball.vertices[ball.faces].mean(axis=1)
    bowl = both(ball.kept(middle[:, 2] < 5).compacted(), scaled(ball, 0.2, (0, 0, -4)))
    found = shared_by(bowl)
    assert found.held_by == [[], [0]]
    assert not len(found.inner)


def test_many_small_bodies_within_a_large_one(ball, both):
    small = trimesh.creation.icosahedron()
    spots = np.random.default_rng(3).uniform(-14, 14, (800, 3))
    away = np.abs(np.linalg.norm(spots, axis=1) - 10) > 0.3
    spots = spots[away]
    points = (0.05 * small.vertices[None] + spots[:, None]).reshape(-1, 3)
    faces = small.faces[None] + 12 * np.arange(len(spots))[:, None, None]
    specks = Draft(points, faces.reshape(-1, 3), np.zeros(20 * len(spots), dtype=np.int64))
    held_by = shared_by(both(ball, specks)).held_by
    assert [held == [0] for held in held_by[1:]] == (np.linalg.norm(spots, axis=1) < 10).tolist()


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_bodies_share_nothing(ball, count):
    draft = ball.kept(np.full(len(ball.faces), bool(count))).compacted()
    assert shared_by(draft).held_by == [[]] * count
