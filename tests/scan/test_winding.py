from __future__ import annotations

import igl
import numpy as np
import pytest
import trimesh

from partline.errors import Cancelled
from partline.scan.winding import (
    FEW,
    dipoles,
    effort,
    numbers_and_effort,
    winding_numbers,
    winding_numbers_of_few,
)


def body(seed: int = 3) -> tuple[np.ndarray, np.ndarray]:
    """A lumpy ring with a tenth of its faces gone."""
    mesh = trimesh.creation.torus(10, 4, major_sections=80, minor_sections=40)
    vertices = np.array(mesh.vertices)
    vertices += 0.3 * np.sin(vertices[:, [1, 2, 0]] * 1.7)
    keep = np.random.default_rng(seed).random(len(mesh.faces)) > 0.1
    return vertices, np.array(mesh.faces)[keep]


def test_numbers_against_another_library():
    """Reference: libigl's winding_number, exact for every face."""
    vertices, faces = body()
    points = np.random.default_rng(4).uniform(-16, 16, (4000, 3))
    exact = igl.winding_number(vertices, faces, points)
    found = winding_numbers(dipoles(vertices, faces), points)
    assert np.abs(found - exact).max() < 0.05
    assert np.abs(found - exact).mean() < 0.007
    slow = winding_numbers(dipoles(vertices, faces), points, far=1e9)
    np.testing.assert_allclose(slow, exact, atol=1e-10)


def test_a_closed_body_is_one_inside_and_nought_outside(ball):
    points = np.array([[0.0, 0, 0], [9.9, 0, 0], [10.2, 0, 0], [500, 0, 0]])
    found = winding_numbers(dipoles(ball.vertices, ball.faces), points)
    assert found == pytest.approx([1, 1, 0, 0], abs=0.05)
    turned = winding_numbers(dipoles(ball.vertices, ball.faces[:, ::-1]), points[:1])
    assert turned == pytest.approx([-1], abs=0.05)


def test_it_can_be_stopped(ball):
    def stop(fraction: float, words: str) -> None:
        raise Cancelled("enough")

    with pytest.raises(Cancelled):
        winding_numbers(dipoles(ball.vertices, ball.faces), np.zeros((1, 3)), progress=stop)


def test_few_points_need_no_tree():
    """Reference: libigl's winding_number."""
    vertices, faces = body()
    points = np.vstack([np.random.default_rng(5).uniform(-16, 16, (FEW, 3)), vertices[:2]])
    found = winding_numbers_of_few(vertices, faces, points)
    np.testing.assert_allclose(
        found[:FEW], igl.winding_number(vertices, faces, points[:FEW]), atol=1e-10
    )
    assert np.isfinite(found).all()


def test_the_effort_comes_with_the_numbers():
    vertices, faces = body()
    source = dipoles(vertices, faces)
    points = np.random.default_rng(6).uniform(-16, 16, (50, 3))
    numbers, each = numbers_and_effort(source, points)
    np.testing.assert_array_equal(numbers, winding_numbers(source, points))
    assert each == effort(source, points)
    # Every face and every node of the tree is asked where none may count from afar.
    most = numbers_and_effort(source, points, far=1e9)[1]
    assert len(faces) < most < 3 * len(faces)
    assert each < 0.1 * most
