from __future__ import annotations

import numpy as np
import pytest

from partline.scan.posing import pose
from partline.scan.sizing import Size


@pytest.mark.parametrize(
    ("up", "front"), [("+z", "-y"), ("+y", "+z"), ("-x", "+y"), ((1, 1, 1), "+x")]
)
def test_the_pose(ball, up, front):
    draft = ball.moved(np.diag([1.0, 1.0, 1.0, 1.0]) + np.eye(4, k=3) * 3)
    matrix = pose(draft, Size(height_mm=62.0), up=up, front=front)
    points = draft.moved(matrix).vertices
    low, high = points.min(axis=0), points.max(axis=0)
    np.testing.assert_allclose(low[:2], -high[:2], atol=1e-12)
    assert low[2] == pytest.approx(0, abs=1e-12)
    assert high[2] == pytest.approx(62, rel=1e-14)
    assert np.linalg.det(matrix[:3, :3]) > 0
