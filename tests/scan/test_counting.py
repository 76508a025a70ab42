from __future__ import annotations

import numpy as np
import pytest

from partline.scan.counting import counts, grid_step
from partline.scan.draft import Draft
from partline.scan.turning import turned


def test_a_sound_ball_has_no_faults(ball):
    tally = counts(ball)
    assert tally.bodies == 1
    assert tally.volume == pytest.approx(ball.face_volumes().sum())
    assert (
        tally.open_edges,
        tally.crowded_edges,
        tally.pinched_vertices,
        tally.disagreeing_edges,
        tally.flipped_faces,
        tally.duplicate_faces,
        tally.flat_faces,
        tally.inside_out_bodies,
    ) == (0,) * 8


def test_each_fault_is_counted(ball):
    mask = np.zeros(len(ball.faces), dtype=bool)
    mask[[10, 900]] = True
    tally = counts(turned(ball, mask))
    assert (tally.flipped_faces, tally.disagreeing_edges) == (2, 6)
    assert tally.volume is None
    twice = Draft(ball.vertices, np.vstack([ball.faces, ball.faces[:4]]), np.arange(5124))
    assert counts(twice).duplicate_faces == 4
    assert counts(ball.kept(np.arange(5120) > 0)).open_edges == 3
    assert counts(turned(ball, np.ones(5120, dtype=bool))).inside_out_bodies == 1


def test_pinched_vertex(cube):
    """Two cubes that share one corner: one vertex with two fans, two bodies."""
    corner = int(np.argmax(cube.vertices.sum(axis=1)))
    far = int(np.argmin(cube.vertices.sum(axis=1)))
    number = np.arange(8) + 8
    number[far] = corner
    faces = np.vstack([cube.faces, number[cube.faces]])
    draft = Draft(np.vstack([cube.vertices, cube.vertices + 40]), faces, np.arange(24))
    tally = counts(draft)
    assert (tally.pinched_vertices, tally.bodies, tally.crowded_edges) == (1, 2, 0)


def test_a_grid_is_found_and_none_invented(ball):
    rng = np.random.default_rng(9)
    points = rng.normal(size=(5000, 3))
    assert grid_step(points) == 0
    assert grid_step(np.round(points / 0.004) * 0.004) == pytest.approx(0.004, rel=1e-3)
    stored = (np.round(points / 0.004) * 0.004).astype(np.float32).astype(np.float64)
    assert grid_step(stored) == pytest.approx(0.004, rel=1e-3)
    assert grid_step(ball.vertices[:50]) == 0
