from __future__ import annotations

import numpy as np
import pytest

from partline.scan.draft import Draft, Finding


def test_moving_scales_volumes_by_the_cube_and_keeps_the_table(ball):
    matrix = np.eye(4)
    matrix[:3, :3] = 2.0 * np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1]])
    matrix[:3, 3] = [5, 6, 7]
    table = ball.table
    moved = ball.moved(matrix)
    assert moved.table is table
    assert moved.face_volumes().sum() == pytest.approx(8 * ball.face_volumes().sum(), rel=1e-12)
    assert moved.diagonal == pytest.approx(2 * ball.diagonal)
    finding = Finding("hole", 1, 3.0, (1.0, 0.0, 0.0)).moved(matrix)
    assert finding.size == pytest.approx(6)
    np.testing.assert_allclose(finding.place, [5, 8, 7])


def test_compacting_drops_unused_vertices(cube):
    draft = Draft(np.vstack([cube.vertices, [[9e9, 0, 0]]]), cube.faces, cube.file_faces)
    assert len(draft.compacted().vertices) == 8
    assert cube.compacted() is cube
    assert Draft(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0)).diagonal == 0


def test_moving_a_finding_moves_each_of_its_places():
    matrix = np.array([[0.0, -2, 0, 5], [2, 0, 0, 0], [0, 0, 2, 1], [0, 0, 0, 1]])
    each = ((1.0, (1.0, 0.0, 0.0)), (0.5, (0.0, 1.0, 1.0)))
    moved = Finding("speck", 2, 1.0, (1.0, 0.0, 0.0), each=each).moved(matrix)
    assert moved.each[0] == (pytest.approx(2.0), (5.0, 2.0, 1.0))
    assert moved.each[1] == (pytest.approx(1.0), (3.0, 0.0, 3.0))
    assert moved.place == moved.each[0][1]
