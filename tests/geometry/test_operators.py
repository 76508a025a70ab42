"""Operators: against closed forms, a direct solver and a general-purpose library."""

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse import linalg

from partline.errors import InternalError
from partline.geometry.operators import (
    area_normals,
    edge_lengths,
    heat_smoothed,
    mass_and_laplacian,
)
from partline.geometry.surface import Surface


def _plate(n: int, width: float, *, jitter: float = 0.0) -> Surface:
    grid = np.linspace(0.0, width, n + 1)
    y, x = np.meshgrid(grid, grid, indexing="ij")
    rng = np.random.default_rng(3)
    inner = (x > 0) & (x < width) & (y > 0) & (y < width)
    x, y = (a + inner * jitter * width / n * rng.uniform(-1, 1, a.shape) for a in (x, y))
    number = np.arange((n + 1) ** 2).reshape(n + 1, n + 1)
    a, b, c, d = (
        q.ravel() for q in (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    )
    faces = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return Surface(np.column_stack([x.ravel(), y.ravel(), 0 * x.ravel()]), faces)


def _sphere(radius: float, levels: int = 4) -> Surface:
    trimesh = pytest.importorskip("trimesh")
    ball = trimesh.creation.icosphere(levels, radius)
    return Surface(ball.vertices, ball.faces)


@pytest.mark.parametrize("jitter", [0.0, 0.3])
def test_wave_on_a_plane_keeps_one_over_one_plus_k2t(jitter):
    # Closed form: knowledge of the implicit heat step, Desbrun et al. 1999. Four octaves.
    plate = _plate(120, 12.0, jitter=jitter)
    mass, laplacian = mass_and_laplacian(plate)
    wave_number = 2 * np.pi / 1.5
    wave = np.cos(wave_number * plate.vertices[:, 0])
    for time in (0.01, 0.04, 0.16, 0.64, 2.56):
        kept = heat_smoothed(mass, laplacian, time, wave, tolerance=1e-6)
        gain = (mass * kept) @ wave / ((mass * wave) @ wave)
        assert gain == pytest.approx(1 / (1 + wave_number**2 * time), rel=0.02)


def test_smoothing_is_the_direct_solution_and_keeps_its_tolerance():
    ball = _sphere(10.0)
    mass, laplacian = mass_and_laplacian(ball)
    values = np.random.default_rng(0).normal(size=(len(ball.vertices), 3)) * [1.0, 5.0, 0.1]
    system = laplacian * 4.0
    system.setdiag(system.diagonal() + mass)
    exact = linalg.spsolve(system.tocsc(), mass[:, None] * values)
    for tolerance in (1e-2, 1e-5):
        found = heat_smoothed(mass, laplacian, 4.0, values, tolerance=tolerance)
        error = np.sqrt((mass[:, None] * (found - exact) ** 2).sum(axis=0) / mass.sum())
        assert (error <= tolerance).all()
    total = (mass[:, None] * found).sum(axis=0)
    np.testing.assert_allclose(total, (mass[:, None] * values).sum(axis=0), atol=1e-4 * mass.sum())


def test_slivers_cost_no_more_steps_than_the_sound_mesh():
    # A net of equal triangles, and the same with a row of vertices pushed against the next.
    n = 60
    x, y = (grid.ravel().astype(float) for grid in np.meshgrid(np.arange(n), np.arange(n)))
    a = np.arange(n * (n - 1)).reshape(n - 1, n)[:, :-1].ravel()
    faces = np.concatenate([
        np.column_stack([a, a + 1, a + n + 1]), np.column_stack([a, a + n + 1, a + n])
    ])  # fmt: skip
    pushed = np.where((y == 30) & (x % 2 == 0), y + 0.995, y)
    values = np.random.default_rng(1).normal(size=(n * n, 5))
    heard: dict[str, int] = {}
    for name, up in (("sound", y), ("slivers", pushed)):
        mass, laplacian = mass_and_laplacian(Surface(np.column_stack([x, up, 0 * x]), faces))
        told: list[float] = []

        def tell(fraction: float, words: str, told: list[float] = told) -> None:
            told.append(fraction)

        found = heat_smoothed(mass, laplacian, 9.0, values, tolerance=1e-6, progress=tell)
        system = sparse.csc_array(sparse.diags_array(mass) + 9.0 * laplacian)
        exact = linalg.spsolve(system, mass[:, None] * values)
        error = np.sqrt((mass[:, None] * (found - exact) ** 2).sum(axis=0) / mass.sum())
        assert (error <= 1e-6).all()
        heard[name] = len(told)
    assert heard["slivers"] <= 1.3 * heard["sound"]


def test_laplacian_of_the_position_is_twice_the_mean_curvature():
    # Closed form: a sphere's mean curvature is 1 / R everywhere.
    radius = 7.0
    ball = _sphere(radius, 5)
    mass, laplacian = mass_and_laplacian(ball)
    vectors = (laplacian @ ball.vertices) / mass[:, None]
    along = np.einsum("ij,ij->i", vectors, ball.vertex_normals)
    assert np.average(along, weights=mass) == pytest.approx(2 / radius, rel=0.002)


def test_laplacian_is_that_of_libigl():
    igl = pytest.importorskip("igl", reason="libigl is not installed")  # general reference library
    trimesh = pytest.importorskip("trimesh")
    ring = trimesh.creation.torus(20.0, 7.0, major_sections=40, minor_sections=18)
    surface = Surface(ring.vertices, ring.faces)
    _, laplacian = mass_and_laplacian(surface)
    theirs = igl.cotmatrix(np.array(surface.vertices), surface.faces.astype(np.int64))
    assert abs(laplacian + theirs).max() < 1e-9


def test_mass_is_the_area_and_constants_are_not_moved():
    ball = _sphere(5.0)
    mass, laplacian = mass_and_laplacian(ball)
    assert mass.sum() == pytest.approx(ball.face_areas.sum(), rel=1e-12)
    assert np.abs(laplacian @ np.ones(len(mass))).max() < 1e-12


def test_slivers_leave_the_laplacian_finite_and_positive():
    plate = _plate(12, 12.0)
    points = plate.vertices.copy()
    points[40] = 0.5 * (points[39] + points[41]) + [0, 1e-14, 0]
    points[70] = points[71]  # faces without area
    mass, laplacian = mass_and_laplacian(Surface(points, plate.faces))
    assert np.isfinite(laplacian.data).all()
    assert (mass > 0).all()
    assert np.linalg.eigvalsh(laplacian.toarray()).min() > -1e-6


def test_lonely_vertex_stays():
    surface = Surface([[0, 0, 0], [1, 0, 0], [0, 1, 0], [9, 9, 9]], [[0, 1, 2]])
    mass, laplacian = mass_and_laplacian(surface)
    smooth = heat_smoothed(mass, laplacian, 1.0, surface.vertices, tolerance=1e-9)
    np.testing.assert_allclose(smooth[3], [9, 9, 9])


def test_normals_and_lengths_of_a_plate():
    plate = _plate(3, 3.0)
    np.testing.assert_allclose(area_normals(plate.vertices, plate), [[0, 0, 1]] * 16)
    assert edge_lengths(plate).max() == pytest.approx(np.sqrt(2.0))


def test_no_face_is_said():
    with pytest.raises(InternalError, match="without a face"):
        mass_and_laplacian(Surface([[0, 0, 0]], np.empty((0, 3), int)))
