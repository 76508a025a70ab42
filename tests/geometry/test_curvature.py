"""Curvature: closed forms with and without noise, and the radius that noise asks for."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.errors import InternalError
from partline.geometry.curvature import fit_radius, principal_curvatures
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Surface


def sphere(radius: float = 10.0) -> Surface:
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=radius)
    return Surface(mesh.vertices, mesh.faces)


def ring() -> tuple[Surface, np.ndarray]:
    """A torus of radii 10 and 4 mm, its triangles nearly even, with both curvatures [1/mm]."""
    nu, nv = 220, 88
    u, v = np.meshgrid(np.arange(nu), np.arange(nv), indexing="ij")
    a = np.arange(nu * nv).reshape(nu, nv)
    b, c, d = np.roll(a, -1, 0), np.roll(a, -1, 1), np.roll(a, (-1, -1), (0, 1))
    faces = np.concatenate([np.stack(t, -1).reshape(-1, 3) for t in ((a, b, d), (a, d, c))])
    u, v = (u * 2 * np.pi / nu).ravel(), (v * 2 * np.pi / nv).ravel()
    out = 10 + 4 * np.cos(v)
    points = np.column_stack([out * np.cos(u), out * np.sin(u), 4 * np.sin(v)])
    return Surface(points, faces), np.column_stack([np.cos(v) / out, np.full(len(u), 0.25)])


def roughened(surface: Surface, noise: float) -> Surface:
    strays = np.random.default_rng(5).normal(size=(len(surface.vertices), 1)) * noise
    return Surface(surface.vertices + strays * surface.vertex_normals, surface.faces)


def off(found: np.ndarray, true: np.ndarray) -> float:
    """Root-mean-square error of the mean curvature, each vertex against its own [1]."""
    mean = true.mean(axis=1)
    return float(np.sqrt(np.mean((found.mean(axis=1) / mean - 1) ** 2)))


@pytest.mark.parametrize(("share", "most"), [(0.0, 0.005), (0.01, 0.02), (0.1, 0.05)])
def test_sphere(share: float, most: float) -> None:
    # Closed form: 1 / R both ways. One-ring methods are off by 107 to 555 % at a tenth of an edge.
    body = sphere()
    noise = share * float(edge_lengths(body).mean())
    found = principal_curvatures(roughened(body, noise), noise_mm=noise)
    assert off(found, np.full(found.shape, 0.1)) <= most


@pytest.mark.parametrize(("share", "most"), [(0.0, 0.01), (0.01, 0.03), (0.1, 0.07)])
def test_torus(share: float, most: float) -> None:
    # Closed form: 1 / r round the tube, cos v / (R + r cos v) along it.
    body, true = ring()
    noise = share * float(edge_lengths(body).mean())
    found = principal_curvatures(roughened(body, noise), noise_mm=noise)
    assert off(found, true) <= most
    # Both of them, in units of the tube's.
    assert np.sqrt(np.mean((found - true) ** 2)) / 0.25 < max(most, 0.01)


def test_concave_is_negative_and_scale_divides() -> None:
    body = sphere()
    hollow = Surface(body.vertices, body.faces[:, ::-1])
    np.testing.assert_allclose(principal_curvatures(hollow, noise_mm=0.0), -0.1, rtol=0.01)
    larger = Surface(3 * body.vertices, body.faces)
    np.testing.assert_allclose(principal_curvatures(larger, noise_mm=0.0), 0.1 / 3, rtol=0.01)


def test_chosen_vertices_get_the_same() -> None:
    body, _ = ring()
    every = principal_curvatures(body, noise_mm=0.01, form_mm=4.0)
    some = np.array([7, 300, 11_111])
    np.testing.assert_array_equal(
        principal_curvatures(body, noise_mm=0.01, form_mm=4.0, at=some), every[some]
    )


def test_a_thin_wall_does_not_see_its_other_side() -> None:
    # Two balls, 0.2 mm between their skins: no vertex of the one is reached from the other.
    one = sphere(5.0)
    both = Surface(
        np.vstack([one.vertices, one.vertices * 0.96]),
        np.vstack([one.faces, one.faces[:, ::-1] + len(one.vertices)]),
    )
    # The disc reaches 1.7 mm far, across the wall many times over.
    found = principal_curvatures(both, noise_mm=0.002)
    np.testing.assert_allclose(found[: len(one.vertices)], 0.2, rtol=0.02)
    np.testing.assert_allclose(found[len(one.vertices) :], -0.2 / 0.96, rtol=0.02)


def test_radius_follows_the_noise() -> None:
    # r ~ (s h)^(1/5) R^(3/5) between a few edges and a dozen.
    assert fit_radius(0.32, 0.4, 10.0) == 12 * 0.4
    assert fit_radius(0.0, 0.4, 10.0) == 2.5 * 0.4
    low, high = fit_radius(0.001, 0.4, 5.0), fit_radius(0.002, 0.4, 5.0)
    assert high / low == pytest.approx(2**0.2)
    # It is where noise and form together are least, by the two measured constants.
    around = low * np.linspace(0.5, 2.0, 301)
    total = 4.0 * 0.001 * 0.4 / around**3 + 0.03 * around**2 / 5.0**3
    assert around[np.argmin(total)] == pytest.approx(low, rel=0.01)


def test_no_lengths_are_refused() -> None:
    with pytest.raises(InternalError, match="lengths"):
        principal_curvatures(sphere(), noise_mm=-1.0)
    with pytest.raises(InternalError, match="lengths"):
        principal_curvatures(sphere(), noise_mm=0.1, form_mm=0.0)


def test_progress_is_heard() -> None:
    heard: list[float] = []
    principal_curvatures(sphere(), noise_mm=0.0, progress=lambda f, _: heard.append(f))
    assert heard == sorted(heard)
    assert heard[-1] == 1.0
