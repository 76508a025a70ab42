from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from partline.geometry.sections import girth_of, hull_of, sections
from partline.geometry.surface import Surface


def of(mesh: trimesh.Trimesh) -> Surface:
    return Surface(mesh.vertices, mesh.faces)


def test_sections_of_a_sphere_are_its_circles_of_latitude() -> None:
    surface = of(trimesh.creation.icosphere(5, 10))
    levels = np.array([-8.0, -3.0, 0.0, 5.5, 9.0])
    cut = sections(surface, levels)
    radius = np.sqrt(100 - levels**2)
    order = np.argsort(cut.level)
    np.testing.assert_allclose(cut.girth[order], 2 * np.pi * radius, rtol=2e-3)
    np.testing.assert_allclose(cut.area[order], np.pi * radius**2, rtol=4e-3)
    assert (cut.girth[order] <= 2 * np.pi * radius).all()  # inscribed: never too long
    assert cut.slabs == 6


def test_a_lying_ring_has_a_hole_that_is_not_a_part() -> None:
    surface = of(trimesh.creation.torus(3, 1, major_sections=240, minor_sections=120))
    cut = sections(surface, [-0.5, 0.5])
    a = np.sqrt(1 - 0.25)
    assert len(cut.level) == 2
    np.testing.assert_allclose(cut.area, 4 * np.pi * 3 * a, rtol=1e-3)
    np.testing.assert_allclose(cut.girth, 2 * np.pi * (3 + a), rtol=1e-3)
    assert cut.slabs == 3


def test_a_standing_ring_is_two_parts_that_meet_above_and_below() -> None:
    mesh = trimesh.creation.torus(3, 1, major_sections=240, minor_sections=120)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
    cut = sections(of(mesh), np.linspace(-3.5, 3.5, 8))
    count = np.bincount(cut.level)
    assert count.tolist() == [1, 1, 2, 2, 2, 2, 1, 1]
    middle = np.flatnonzero(cut.level == 3)
    assert cut.above[middle[0]] != cut.above[middle[1]]
    last = np.flatnonzero(cut.level == 5)
    assert cut.above[last[0]] == cut.above[last[1]]  # one arch joins them
    assert cut.slabs == 1 + 1 + 1 + 2 * 3 + 1 + 1 + 1


def test_levels_that_run_along_flat_faces_and_vertices_still_close() -> None:
    surface = of(trimesh.creation.box([4, 2, 6]))
    cut = sections(surface, [-3.0, 0.0, 2.0])
    np.testing.assert_allclose(np.sort(cut.girth), 12.0)
    np.testing.assert_allclose(cut.area, 8.0)


def test_long_edges_that_cross_many_levels_join_them_in_turn() -> None:
    cut = sections(of(trimesh.creation.box([4, 2, 6])), np.linspace(-2.9, 2.9, 40))
    assert len(cut.level) == 40
    order = np.argsort(cut.level)
    assert (cut.above[order][:-1] == cut.below[order][1:]).all()
    assert cut.slabs == 41


def test_turning_about_the_pull_and_renumbering_change_no_girth() -> None:
    mesh = trimesh.creation.torus(3, 1, major_sections=60, minor_sections=30)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.4, [1, 0, 0]))
    levels = np.linspace(-1.5, 1.5, 9)
    plain = sections(of(mesh), levels)
    order = np.random.default_rng(0).permutation(len(mesh.vertices))
    place = np.argsort(order)
    turned = (
        mesh.vertices[order] @ trimesh.transformations.rotation_matrix(1.1, [0, 0, 1])[:3, :3].T
    )
    other = sections(Surface(turned, place[mesh.faces][::-1]), levels)
    for cut in (plain, other):
        assert len(cut.level) == len(plain.level)
    keys = [np.lexsort((c.girth.round(9), c.level)) for c in (plain, other)]
    np.testing.assert_allclose(plain.girth[keys[0]], other.girth[keys[1]], rtol=1e-9)
    np.testing.assert_allclose(
        np.bincount(plain.level, plain.area), np.bincount(other.level, other.area), rtol=1e-9
    )


def test_the_area_between_levels_adds_up_to_the_volume() -> None:
    """Cavalieri: against the volume that trimesh gives."""
    mesh = trimesh.creation.torus(3, 1, major_sections=60, minor_sections=30)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.9, [1, 0.3, 0]))
    low, high = mesh.bounds[:, 2]
    step = (high - low) / 400
    cut = sections(of(mesh), low + step * (np.arange(400) + 0.5))
    assert cut.area.sum() * step == pytest.approx(mesh.volume, rel=1e-3)


def test_hull_and_girth_of_points() -> None:
    square = np.array([[0, 0], [2, 0], [2, 2], [0, 2], [1, 1], [1, 0.5]], dtype=float)
    assert girth_of(hull_of(square)) == pytest.approx(8)
    line = np.column_stack([np.linspace(0, 3, 7), np.zeros(7)])
    assert girth_of(hull_of(line)) == pytest.approx(6)


@pytest.mark.parametrize("levels", [[], [1.0, 1.0], [2.0, 1.0]])
def test_levels_must_rise(levels: list[float]) -> None:
    with pytest.raises(ValueError, match="rise"):
        sections(of(trimesh.creation.box([1, 1, 1])), levels)


@pytest.mark.parametrize("count", [3, 12, 400])
def test_a_hull_is_that_of_another_library(count: int) -> None:
    for points in (
        np.random.default_rng(count).normal(size=(count, 2)),
        np.random.default_rng(count).integers(0, 5, (max(count, 9), 2)).astype(float),
    ):
        hull, expected = hull_of(points), ConvexHull(points)
        x, y = hull.T
        area = (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2
        assert area == pytest.approx(expected.volume)  # and counter-clockwise
        assert girth_of(hull) == pytest.approx(expected.area)
        assert {tuple(p) for p in hull} == {tuple(p) for p in points[expected.vertices]}


def test_the_hull_of_a_point_is_that_point_twice() -> None:
    assert hull_of(np.array([[1.0, 2.0]])).tolist() == [[1, 2], [1, 2]]
    assert girth_of(hull_of(np.ones((4, 2)))) == 0
