"""Outlines of solids whose shadows are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from manifold3d import CrossSection, FillRule, Manifold, Mesh64

from partline.faces.silhouette import _of_faces, silhouette
from partline.geometry.surface import Surface

trimesh = pytest.importorskip("trimesh")

X, Y, Z = np.eye(3)


def signed_area(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(0.5 * np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def test_box_from_each_side() -> None:
    box = trimesh.creation.box((10.0, 20.0, 30.0))
    surface = Surface(box.vertices + np.array([1.0, 2.0, 3.0]), box.faces)
    for right, up, wide, high, middle in (
        (X, Z, 10, 30, (1, 3)), (Y, Z, 20, 30, (2, 3)), (-X, -Z, 10, 30, (-1, -3)),
        (X, Y, 10, 20, (1, 2)),
    ):  # fmt: skip
        (outline,) = silhouette(surface, right, up)
        assert signed_area(outline) == pytest.approx(wide * high)
        assert outline.min(axis=0) + outline.max(axis=0) == pytest.approx(2 * np.array(middle))


def test_torus_seen_through_its_hole() -> None:
    """Shadow along the axis: pi ((R + r)^2 - (R - r)^2) = 4 pi R r; edge on: no hole."""
    ring = trimesh.creation.torus(10.0, 3.0, major_sections=180, minor_sections=90)
    surface = Surface(ring.vertices, ring.faces)
    flat = silhouette(surface, X, Y, within_mm=0.001)
    assert len(flat) == 2
    assert sum(map(signed_area, flat)) == pytest.approx(4 * np.pi * 30.0, rel=2e-3)
    assert min(map(signed_area, flat)) < 0  # the hole runs the other way
    edge_on = silhouette(surface, X, Z, within_mm=0.001)
    assert len(edge_on) == 1
    assert signed_area(edge_on[0]) == pytest.approx(20 * 6 + np.pi * 9, rel=2e-3)


def test_two_apart_and_an_open_surface() -> None:
    one = trimesh.creation.box((2.0, 2.0, 2.0))
    two = trimesh.util.concatenate([one, one.copy().apply_translation((5.0, 0.0, 0.0))])
    assert len(silhouette(Surface(two.vertices, two.faces), X, Z)) == 2
    # Faces missing: the union of what is left still covers the same shadow.
    opened = Surface(one.vertices, one.faces[one.face_normals[:, 1] < 0.5])
    assert sum(map(signed_area, silhouette(opened, X, Z))) == pytest.approx(4.0)


def test_thinning_stays_within_what_was_asked() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=30.0)
    surface = Surface(ball.vertices, ball.faces)
    (fine,) = silhouette(surface, X, Z, within_mm=1e-6)
    (thin,) = silhouette(surface, X, Z, within_mm=0.05)
    assert len(thin) < len(fine)
    radius = np.linalg.norm(thin, axis=1)
    assert radius.max() <= 30.0 + 1e-6
    middles = np.linalg.norm((thin + np.roll(thin, -1, axis=0)) / 2, axis=1)
    assert middles.min() > 30.0 - 0.05 - 0.05  # its own facets take another 0.05 at most


def test_an_open_rough_sheet_throws_the_shadow_of_all_its_faces() -> None:
    # A net that folds over itself: the union of every triangle, one by one, is the truth.
    rng = np.random.default_rng(3)
    x, y = np.meshgrid(np.arange(12.0), np.arange(12.0))
    points = np.column_stack([x.ravel(), y.ravel()]) + rng.normal(0.0, 0.6, (144, 2))
    at = np.arange(144).reshape(12, 12)
    a, b, c, d = (v.ravel() for v in (at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    one_by_one = CrossSection()
    for triangle in points[faces]:
        one_by_one += CrossSection([triangle], FillRule.EvenOdd)
    assert _of_faces(points, faces).area() == pytest.approx(one_by_one.area(), rel=1e-6)


def test_a_rough_closed_solid_throws_the_shadow_the_boolean_library_finds() -> None:
    """manifold3d projects solids itself; thousands of dents make as many lines to cancel."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=20.0)
    rng = np.random.default_rng(5)
    points = ball.vertices * (1 + 0.01 * rng.standard_normal(len(ball.vertices)))[:, None]
    axes = np.linalg.qr(rng.standard_normal((3, 3)))[0]
    axes *= np.sign(np.linalg.det(axes))
    solid = Manifold(Mesh64(points, np.asarray(ball.faces, dtype=np.uint64)))
    turned = solid.transform(np.column_stack([axes, np.zeros(3)]))
    truth = CrossSection(turned.project().to_polygons(), FillRule.Positive)
    found = _of_faces(points @ axes[:2].T, ball.faces)
    assert found.area() == pytest.approx(truth.area(), rel=1e-9)
    assert (found - truth).area() + (truth - found).area() < 1e-6 * truth.area()
