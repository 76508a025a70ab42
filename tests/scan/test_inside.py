from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.scan.draft import Draft
from partline.scan.inside import COARSE, Grid, drawn_of, field_of, steps_of
from partline.scan.winding import dipoles, effort, winding_numbers


def slabs() -> Draft:
    """A long board leaning in space, with an open end."""
    board = trimesh.creation.box((40, 12, 3))
    board.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 2, 3)))
    keep = np.arange(12) != 4
    return Draft(np.array(board.vertices), np.array(board.faces)[keep], np.arange(11))


def test_inside_and_outside_are_those_of_every_node_asked():
    draft = slabs()
    source = dipoles(draft.vertices, draft.faces)
    grid = Grid.round(draft, source, 0.4)
    field = field_of(source, grid)
    nodes = field.low + field.cell * np.moveaxis(np.indices(field.number.shape), 0, -1)
    exact = winding_numbers(source, nodes.reshape(-1, 3)).reshape(field.number.shape)
    inner = (slice(1, -1),) * 3
    np.testing.assert_array_equal(field.number[inner] > 0.5, exact[inner] > 0.5)
    assert grid.busy.mean() < 0.5


def test_every_node_beside_a_face_is_worked_out():
    draft = slabs()
    source = dipoles(draft.vertices, draft.faces)
    grid = Grid.round(draft, source, 0.4)
    rng = np.random.default_rng(1)
    share = rng.dirichlet((1, 1, 1), 4000)
    corners = draft.vertices[draft.faces[rng.integers(0, 11, 4000)]]
    points = np.einsum("ij,ijk->ik", share, corners)
    for cells, marked in ((COARSE, grid.busy), (COARSE // 2, grid.fine)):
        block = np.floor((points - grid.low) / (grid.cell * cells)).astype(int)
        assert marked[tuple(block.T)].all()


def test_the_work_is_estimated(ball):
    loose = ball.vertices[ball.faces[::16]] * np.array([1.0, 0.7, 0.4])
    for draft in (ball, Draft(loose.reshape(-1, 3), np.arange(960).reshape(-1, 3), np.arange(320))):
        source = dipoles(draft.vertices, draft.faces)
        grid = Grid.round(draft, source, 0.5)
        asked = 8 * grid.busy.sum() + 8 * grid.fine.sum() + grid.busy.size
        least = asked * effort(source, draft.vertices)
        assert 0.5 * least < steps_of(source, grid) < 3 * least


def test_the_faces_of_the_net_are_estimated(ball):
    """A skin, and three hundred faces that lie all over the piece."""
    rng = np.random.default_rng(5)
    loose = rng.normal(size=(900, 3)) * 10
    for draft in (ball, Draft(loose, np.arange(900).reshape(-1, 3), np.arange(300))):
        source = dipoles(draft.vertices, draft.faces)
        grid = Grid.round(draft, source, draft.diagonal / 90)
        number = field_of(source, grid).number
        crossed = sum(int(np.diff(number > 0.5, axis=axis).sum()) for axis in range(3))
        faces, each = drawn_of(source, grid)
        assert faces == pytest.approx(2 * crossed, rel=0.2)
        middles = draft.vertices[draft.faces].mean(axis=1)
        assert each == pytest.approx(effort(source, middles), rel=0.4)


def test_nothing_is_inside_at_the_rim_of_the_grid():
    """Many faces one over the other, all wound one way, go round places outside their box."""
    flat = np.array([[0.0, 0, 0], [10, 0, 0], [0, 10, 0], [10, 10, 9]])
    faces = np.array([[0, 1, 2]] * 60 + [[0, 1, 3]])
    source = dipoles(flat, faces)
    grid = Grid.round(Draft(flat, faces, np.arange(61)), source, 0.5)
    number = field_of(source, grid).number
    assert number.max() > 0.5
    for axis in range(3):
        assert np.moveaxis(number, axis, 0)[[0, -1]].max() <= 0


def test_what_is_asked_is_counted(ball):
    assert effort(dipoles(ball.vertices, ball.faces), np.array([[1e6, 0, 0]])) == pytest.approx(1)
