"""Holes through solids whose genus and opening are known."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import cylinder, solid

from partline.cut.demould import Bridge
from partline.cut.loops import handles, holes, rubber_loops, through
from partline.geometry.surface import Surface


def ring(turn: float) -> Surface:
    mesh = trimesh.creation.torus(10, 3, major_sections=64, minor_sections=24)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(turn, [1, 0, 0]))
    return Surface(mesh.vertices, mesh.faces)


@pytest.mark.parametrize("turn", [0.0, 0.5, np.pi / 2])
def test_a_ring_holds_one_loop_however_it_lies(turn) -> None:
    """Closed form: the hole of a torus is 2 (R - r) = 14 mm wide."""
    found = holes(ring(turn))
    assert len(found) == handles(ring(turn)) == 1
    # Sections across a tilted ring show its hole narrower.
    assert found[0].opening_mm == pytest.approx(14, rel=0.2 if turn == 0.5 else 0.03)
    assert np.linalg.norm(found[0].place_mm) < 4


def test_a_solid_without_handles_has_none() -> None:
    assert holes(solid(cylinder(5, 0, 30))) == ()
    two = solid(cylinder(5, 0, 30), cylinder(5, 0, 30, x=40))
    assert handles(two) == 0


def test_a_bar_with_three_bores_holds_three_loops_one_of_them_a_pin_hole() -> None:
    bar = trimesh.creation.box([60, 8, 40])
    for x, z, radius in ((-20, -12, 5.0), (0, 0, 3.0), (20, 12, 0.8)):
        bore = trimesh.creation.cylinder(radius, 20, sections=48)
        bore.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
        bore.apply_translation([x, 0, z])
        bar = trimesh.boolean.difference([bar, bore])
    found = holes(Surface(bar.vertices, bar.faces))
    assert [round(h.place_mm[0]) for h in found] == [-20, 0, 20]
    for hole, diameter in zip(found, (10.0, 6.0, 1.6), strict=True):
        assert hole.opening_mm == pytest.approx(diameter, rel=0.15)
    line = np.array([[-30.0, 0.0, -20.0], [-30.0, 0.0, -12.0], [-30.0, 0.0, 20.0]])
    loops = rubber_loops(found, [line], ())
    assert [loop.matters for loop in loops] == [True, True, False]
    assert loops[0].line == 0
    assert loops[0].cut_mm == pytest.approx(10, abs=1.5)
    assert np.isinf(rubber_loops(found, [], ())[0].cut_mm)


def test_rubber_between_limbs_is_the_rubber_through_the_hole_they_make() -> None:
    legs = solid(cylinder(5, 0, 30, x=-8), cylinder(5, 0, 30, x=8), cylinder(13, 30, 60),
                 cylinder(14, -5, 0.5))  # fmt: skip
    found = holes(legs)
    assert len(found) == 1
    assert found[0].opening_mm == pytest.approx(6, rel=0.05)
    bridge = Bridge(0.0, 30.0, (0.0, 0.0, 15.0), 1.6)
    assert through(bridge, found[0])
    assert rubber_loops(found, [], [bridge])[0].stretch == 1.6
    assert not through(Bridge(50.0, 60.0, (0.0, 0.0, 55.0), 1.0), found[0])
