"""Vertices that shape nothing go, all others stay."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from bodies import cylinder, roughened, torus

from partline.detail.needless import in_two_planes, without_needless
from partline.detail.relief import detail_map
from partline.geometry.surface import Surface
from partline.geometry.volume import area, volume


def split(surface: Surface) -> Surface:
    """Each triangle cut into four, the form the same."""
    return Surface(*trimesh.remesh.subdivide(surface.vertices, surface.faces))


def stretched() -> Surface:
    """A body of long and short triangles."""
    body = torus(20, 8, 1.2)
    return roughened(Surface(body.vertices * [1.0, 0.4, 2.0], body.faces), 0.02)


@pytest.mark.parametrize("times", [1, 2])
def test_triangles_cut_into_four_are_one_again(times) -> None:
    for body in (stretched(), roughened(torus(20, 8, 0.8), 0.05)):
        fine = body
        for _ in range(times):
            fine = split(fine)
        found, into = without_needless(fine)
        n = len(body.vertices)
        assert 0.99 * n <= len(found.vertices) <= 1.02 * n
        # What was there before stands for itself.
        assert (found.vertices[into[:n]] == body.vertices).all(axis=1).mean() > 0.99
        # A few went that leave their plane by less than a ten-thousandth of an edge.
        assert volume(found) == pytest.approx(volume(body), rel=1e-7)
        assert area(found) == pytest.approx(area(body), rel=1e-7)


def test_rounding_of_a_file_does_not_hide_it() -> None:
    body = stretched()
    fine = split(body)
    found, _ = without_needless(Surface(fine.vertices.astype(np.float32), fine.faces))
    assert len(found.vertices) < 1.02 * len(body.vertices)


def test_what_has_a_form_is_left_alone() -> None:
    for body in (torus(20, 8, 0.4), roughened(torus(20, 8, 0.8), 0.01)):
        found, into = without_needless(body)
        assert found is body
        np.testing.assert_array_equal(into, np.arange(len(body.vertices)))


def test_a_mesh_with_flat_places_keeps_them() -> None:
    # A flat side, a third of the vertices: they show that it is plain.
    body = torus(20, 8, 0.8)
    cut = Surface(np.minimum(body.vertices, [np.inf, np.inf, 5.0]), body.faces)
    flat = in_two_planes(cut)
    assert 0.2 < flat.mean() < 0.5
    assert without_needless(cut)[0] is cut


def test_a_plane_stays_a_mesh_of_sound_triangles() -> None:
    body = cylinder(12, 30, 0.4)
    found, _ = without_needless(body)
    assert len(found.vertices) < 0.5 * len(body.vertices)
    assert volume(found) == pytest.approx(volume(body), rel=1e-9)
    sides = found.vertices[found.faces] - np.roll(found.vertices[found.faces], 1, axis=1)
    long2 = (sides**2).sum(axis=2).max(axis=1)
    assert (2 * found.face_areas / long2).min() > 0.05
    assert np.sqrt(long2.max()) < 13 * 0.4


def test_detail_and_noise_do_not_hang_on_how_finely_a_form_is_cut_up() -> None:
    def patch(u, v):
        there = 0.5 * (1 + np.tanh((np.cos(u / 20) - 0.2) * 6))
        return there * 0.12 * np.cos(2 * np.pi * u / 2.4) * np.cos(2 * np.pi * v / 2.4)

    body = roughened(torus(20, 6, 0.4, patch), 0.01)
    one, other = detail_map(body), detail_map(split(body))
    n = len(body.vertices)
    assert other.noise_mm == pytest.approx(one.noise_mm, rel=0.05)
    assert other.finest_mm == pytest.approx(one.finest_mm, rel=0.01)
    assert len(other.zones) == len(one.zones) > 0
    for name in ("score", "slope", "relief_mm"):
        a, b = getattr(one, name), getattr(other, name)[:n]
        there = a > 0.1 * a.max()
        # Fourteen vertices less deal the random numbers anew, which is what is left of it.
        assert np.median(b[there] / a[there]) == pytest.approx(1.0, abs=0.03)
        assert np.percentile(np.abs(b - a), 90) < 0.1 * a.max()
