from __future__ import annotations

import numpy as np
import pytest

from partline.errors import ScanError
from partline.scan.placing_parts import DEEPEST, MOST_FACES, MOST_PARTS, Parts, from_quaternion

TRIANGLE = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
FACE = np.array([[0, 1, 2]])


def test_parts_are_numbered_on():
    parts = Parts("a.glb", 100)
    parts.add(TRIANGLE, FACE, np.eye(4))
    parts.add(TRIANGLE, FACE, np.diag([1.0, 1, -1, 1]))
    draft = parts.draft()
    np.testing.assert_array_equal(draft.faces, [[0, 1, 2], [5, 4, 3]])  # the mirror turns one
    assert not len(Parts("a.glb", 0).draft().faces)


def test_turns_against_the_formula_of_rodrigues():
    """Rodrigues 1840: v cos t + (k x v) sin t + k (k . v)(1 - cos t)."""
    axis, angle = np.array([1.0, 2, 2]) / 3, 0.8
    turn = from_quaternion(np.array([*(axis * np.sin(angle / 2)), np.cos(angle / 2)]))
    for v in np.eye(3):
        want = v * np.cos(angle) + np.cross(axis, v) * np.sin(angle)
        want = want + axis * (axis @ v) * (1 - np.cos(angle))
        np.testing.assert_allclose(turn @ v, want, atol=1e-12)
    np.testing.assert_array_equal(from_quaternion(np.zeros(4)), np.eye(3))


def test_guards_against_scenes_without_end():
    parts = Parts("a.glb", 100)
    with pytest.raises(ScanError, match="parts within parts"):
        parts.deeper(DEEPEST + 1)
    for _ in range(MOST_PARTS - 1):
        parts.deeper(1)
    with pytest.raises(ScanError, match="parts within parts"):
        parts.deeper(1)
    with pytest.raises(ScanError, match="repeats its parts"):
        parts.add(TRIANGLE, np.tile(FACE, (MOST_FACES + 1, 1)), np.eye(4))
    with pytest.raises(ScanError, match="1 of 1 faces name a vertex"):
        Parts("a.glb", 100).add(TRIANGLE, FACE + 1, np.eye(4))
