"""Where a plane cuts a surface: closed outlines, exact for the mesh, against another library."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from manifold3d import CrossSection, FillRule

from partline.geometry.plane_section import plane_section
from partline.geometry.solids import to_solid
from partline.geometry.surface import Surface


def _surface(mesh: trimesh.Trimesh) -> Surface:
    return Surface(mesh.vertices, mesh.faces)


def _axes(normal) -> np.ndarray:
    toward = np.asarray(normal, float) / np.linalg.norm(normal)
    right = np.cross(toward, np.eye(3)[int(np.argmin(np.abs(toward)))])
    right /= np.linalg.norm(right)
    return np.vstack([right, np.cross(toward, right), toward])


def _area(outlines) -> float:
    total = 0.0
    for loop in outlines:
        x, y = loop.T
        total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return total


def test_a_box_is_cut_in_a_rectangle_with_the_solid_on_the_left() -> None:
    box = _surface(trimesh.creation.box((4.0, 6.0, 10.0)))
    (loop,) = plane_section(box, np.eye(3), 1.0)
    assert loop.min(axis=0) == pytest.approx([-2, -3])
    assert loop.max(axis=0) == pytest.approx([2, 3])
    assert _area([loop]) == pytest.approx(24.0)
    assert plane_section(box, np.eye(3), 5.1) == []


def test_in_its_own_face_a_box_is_cut_once_or_not_at_all() -> None:
    """A vertex in the plane counts as beyond it: what lies below the top is still cut."""
    box = _surface(trimesh.creation.box((4.0, 6.0, 10.0)))
    assert _area(plane_section(box, np.eye(3), 5.0)) == pytest.approx(24.0)
    assert plane_section(box, np.eye(3), -5.0) == []


def test_a_hole_runs_the_other_way() -> None:
    ring = _surface(trimesh.creation.annulus(3.0, 5.0, 8.0))
    loops = plane_section(ring, np.eye(3), 0.1)
    assert sorted(np.sign(_area([loop])) for loop in loops) == [-1.0, 1.0]
    # Polygons of 32 corners in the two circles.
    polygon = 0.5 * 32 * np.sin(2 * np.pi / 32)
    assert _area(loops) == pytest.approx(polygon * (25 - 9))


@pytest.mark.parametrize("normal", [(0, 0, 1), (1, 0, 0), (0.3, -0.8, 0.2), (-1, 1, 5)])
def test_the_same_area_as_another_library_cuts(normal) -> None:
    knot = trimesh.creation.torus(20.0, 6.0, major_sections=90, minor_sections=40)
    ball = trimesh.creation.icosphere(subdivisions=3, radius=9.0).apply_translation((40, 0, 3))
    both = _surface(trimesh.util.concatenate([knot, ball]))
    axes, solid = _axes(normal), to_solid(both)
    for level in (-3.0, 0.0, 0.7, 11.0):
        mine = CrossSection(plane_section(both, axes, level), FillRule.Positive)
        theirs = solid.transform(np.column_stack([axes, np.zeros(3)])).slice(level)
        # Both keep places of outlines to a hundred-millionth of a millimetre or so.
        assert mine.area() == pytest.approx(theirs.area(), abs=1e-5)
        assert mine.bounds() == pytest.approx(theirs.bounds(), abs=1e-6)


def test_where_four_faces_meet_in_an_edge_every_outline_still_closes() -> None:
    box = trimesh.creation.box((2.0, 2.0, 2.0))
    other = box.copy().apply_translation((2.0, 2.0, 0.0))
    both = trimesh.util.concatenate([box, other])
    both.merge_vertices()
    loops = plane_section(_surface(both), np.eye(3), 0.3)
    assert _area(loops) == pytest.approx(8.0)
    assert sum(len(loop) for loop in loops) >= 8
