from __future__ import annotations

import igl
import numpy as np
import pytest
import trimesh

from partline.scan.counting import bodies
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft
from partline.scan.nesting import boxes, holders, nesting


def moved(draft: Draft, factor: float, shift: tuple[float, float, float]) -> Draft:
    return Draft(draft.vertices * factor + shift, draft.faces, draft.file_faces)


@pytest.fixture
def three(ball, both) -> Draft:
    """A ball with one inside it, one through its side, and one apart: numbers 0 to 3."""
    draft = both(ball, moved(ball, 0.3, (1, 2, 0)))
    draft = both(draft, moved(ball, 0.3, (10, 0, 0.1)))
    return both(draft, moved(ball, 0.3, (30, 0, 0)))


def test_which_bodies_hold_which(three):
    label = bodies(three.table)
    assert holders(three, label)[1] == [0]
    assert holders(three, label)[3] == []
    assert holders(three, label)[0] == []
    low, high = boxes(three, label)
    np.testing.assert_allclose(0.5 * (low + high)[3], [30, 0, 0], atol=1e-9)


def test_only_bodies_asked_for_are_told(three):
    label = bodies(three.table)
    assert holders(three, label, np.array([0, 3])) == [[], [], [], []]
    assert holders(three, label, np.array([1])) == [[], [0], [], []]
    assert holders(three, label, np.array([], dtype=np.int64)) == [[], [], [], []]


def test_nested_and_overlapping_are_told_apart(three):
    found = nesting(three, bodies(three.table), crossing_pairs(three))
    np.testing.assert_allclose(found.nested, [[1, 2, 0]], atol=1e-9)
    np.testing.assert_allclose(sorted(found.overlapping), [[0, 0, 0], [10, 0, 0.1]], atol=1e-9)


def test_one_body_and_an_open_holder(ball, both):
    assert holders(ball, np.zeros(len(ball.faces), dtype=np.int64)) == [[]]
    middle = ball.vertices[ball.faces].mean(axis=1)
    bowl = both(ball.kept(middle[:, 2] < 5).compacted(), moved(ball, 0.2, (0, 0, -4)))
    assert holders(bowl, bodies(bowl.table))[1] == [0]


def test_agrees_with_another_library(both, ball):
    """Reference: libigl's winding_number."""
    torus = trimesh.creation.torus(10, 4, major_sections=40, minor_sections=24)
    ring = Draft(np.array(torus.vertices), np.array(torus.faces), np.arange(len(torus.faces)))
    spots = np.random.default_rng(6).uniform(-13, 13, (30, 3))
    draft = ring
    for spot in spots:
        draft = both(draft, moved(ball, 1e-3, tuple(spot)))
    found = [0 in held for held in holders(draft, bodies(draft.table))[1:]]
    inside = igl.winding_number(ring.vertices, ring.faces, spots) > 0.5
    assert found == inside.tolist()
    assert 0 < sum(found) < 30
