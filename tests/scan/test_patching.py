from __future__ import annotations

import numpy as np
import pytest

from partline.scan.draft import Draft
from partline.scan.patching import least_area, patched, plinth


def ring(n: int, wave: float = 0.0) -> np.ndarray:
    angle = 2 * np.pi * np.arange(n) / n
    return np.column_stack([np.cos(angle), np.sin(angle), wave * np.cos(2 * angle)])


def area(points: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = (points[faces[:, k]] for k in range(3))
    return 0.5 * float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum())


def least_angles(points: np.ndarray, faces: np.ndarray) -> np.ndarray:
    corners = points[faces]
    least = np.full(len(faces), np.inf)
    for k in range(3):
        u = corners[:, (k + 1) % 3] - corners[:, k]
        v = corners[:, (k + 2) % 3] - corners[:, k]
        cosine = np.einsum("ij,ij->i", u, v) / np.linalg.norm(u, axis=1) / np.linalg.norm(v, axis=1)
        least = np.minimum(least, np.degrees(np.arccos(np.clip(cosine, -1, 1))))
    return least


def test_least_area_of_a_star_is_its_own_area():
    """A flat star: any triangulation outside of it would be larger. Closed form: shoelace."""
    angle = 2 * np.pi * np.arange(20) / 20
    radius = np.where(np.arange(20) % 2 == 0, 2.0, 0.8)
    star = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), 0 * angle])
    x, y = star[:, 0], star[:, 1]
    exact = 0.5 * abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())
    faces = least_area(star)
    assert len(faces) == 18
    assert area(star, faces) == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("coarse", [False, True])
def test_a_flat_rim_is_filled_flat_with_good_triangles(coarse):
    rim = ring(60)
    patch = patched(rim, set(), coarse=coarse)
    np.testing.assert_array_equal(patch.points[:60], rim)
    assert np.abs(patch.points[:, 2]).max() < 1e-12
    assert area(patch.points, patch.faces) == pytest.approx(30 * np.sin(2 * np.pi / 60), rel=1e-9)
    angles = least_angles(patch.points, patch.faces)
    assert angles.min() > 5
    assert np.median(angles) > 40
    table = Draft(patch.points, patch.faces, np.arange(len(patch.faces))).table
    assert (table.counts == 1).sum() == 60
    assert (table.counts <= 2).all()


def test_edges_that_the_mesh_has_are_not_used_again():
    rim = ring(9)
    taken = {(a, b) for a in range(9) for b in range(a + 2, 9)}
    patch = patched(rim, taken)
    edges = Draft(patch.points, patch.faces, np.arange(len(patch.faces))).table.edges
    inner = edges[(edges < 9).all(axis=1)]
    steps = (inner[:, 1] - inner[:, 0]) % 9
    assert np.isin(steps, [1, 8]).all()


def test_a_plinth_is_flat_beneath_and_as_deep_as_the_rim_asks():
    rim = ring(80, wave=0.2)[::-1]
    patch = plinth(rim, rim.mean(axis=0), np.array([0.0, 0.0, -1.0]))
    low = patch.points[:, 2].min()
    step = np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1).mean()
    assert low == pytest.approx(-0.2 - step)
    table = Draft(patch.points, patch.faces, np.arange(len(patch.faces))).table
    assert (table.counts == 1).sum() == 80
    floor = patch.faces[(patch.points[patch.faces][:, :, 2] < low + 1e-9).all(axis=1)]
    assert area(patch.points, floor) == pytest.approx(40 * np.sin(2 * np.pi / 80), rel=1e-9)
