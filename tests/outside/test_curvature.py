"""Curvature against two other libraries, where all three should agree: smooth, clean bodies.

libigl's `principal_curvature` (Panozzo, Puppo and Rocca 2010, quadrics over rings; from memory)
and VTK's curvature filter (discrete, one ring). Both name the signs the other way round or by
their own normals, so only sizes with a known sign are compared.
"""

from __future__ import annotations

import igl
import numpy as np
import pytest
import pyvista as pv
import trimesh

from partline.geometry.curvature import principal_curvatures
from partline.geometry.surface import Surface


@pytest.fixture(scope="module")
def egg() -> Surface:
    """An ellipsoid of half axes 10, 8 and 6 mm, evenly meshed."""
    ball = trimesh.creation.icosphere(subdivisions=4)
    return Surface(ball.vertices * [10.0, 8.0, 6.0], ball.faces)


def test_agrees_with_libigl(egg: Surface) -> None:
    found = principal_curvatures(egg, noise_mm=0.0)
    _, _, most, least, _ = igl.principal_curvature(
        np.array(egg.vertices), np.array(egg.faces).astype(np.int64), 5, True
    )
    theirs = np.sort(np.abs(np.column_stack([least, most])), axis=1)
    assert np.sqrt(np.mean((np.sort(found, axis=1) / theirs - 1) ** 2)) < 0.05


def test_agrees_with_vtk(egg: Surface) -> None:
    found = principal_curvatures(egg, noise_mm=0.0)
    mesh = pv.PolyData.from_regular_faces(np.array(egg.vertices), np.array(egg.faces))
    mean, product = np.abs(mesh.curvature("mean")), np.abs(mesh.curvature("gaussian"))
    assert np.median(np.abs(found.mean(axis=1) / mean - 1)) < 0.03
    assert np.median(np.abs(found.prod(axis=1) / product - 1)) < 0.05


def test_all_three_against_the_closed_form(egg: Surface) -> None:
    # Ellipsoid: K = 1 / (abc q)^2, H = (a^2 + b^2 + c^2 - x^2 - y^2 - z^2) / (2 (abc)^2 q^1.5),
    # q = x^2 / a^4 + y^2 / b^4 + z^2 / c^4 (textbook).
    a, b, c = 10.0, 8.0, 6.0
    squares = egg.vertices**2
    q = squares @ (1 / np.array([a, b, c]) ** 4)
    product = 1 / (a * b * c * q) ** 2
    mean = (a * a + b * b + c * c - squares.sum(axis=1)) / (2 * (a * b * c) ** 2 * q**1.5)
    found = principal_curvatures(egg, noise_mm=0.0)
    assert np.sqrt(np.mean((found.mean(axis=1) / mean - 1) ** 2)) < 0.01
    assert np.sqrt(np.mean((found.prod(axis=1) / product - 1) ** 2)) < 0.02
