"""Strokes of the blade: radial where that is the answer, round what stands in the way."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from rubber_blocks import ALL, PIPE, Ball, rays_of, upright

from partline.card.blade import strokes_of
from partline.card.block import Block
from partline.card.guide import guide_of
from partline.card.swept import crossings, strip


def test_concentric_cylinders_give_radial_strokes_of_r2_less_r1() -> None:
    rays = upright(15.0, 62.0, PIPE.centre_mm)
    turn = np.linspace(0.3, 1.4, 40)
    out = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(40)])
    feet = np.array([3.0, 4.0, 0.0]) + 15.0 * out
    feet[:, 2] = np.linspace(0.5, 55.0, 40)
    strokes = strokes_of(PIPE, guide_of(PIPE, rays), rays, feet, out)
    assert strokes.clear.all()
    assert not len(strokes.splits)
    assert np.allclose(strokes.depths_mm, 20.0, rtol=0.01)
    ways = (strokes.ends - strokes.feet) / strokes.depths_mm[:, None]
    assert np.degrees(np.arccos(np.einsum("ij,ij->i", ways, out).clip(-1, 1))).max() < 1.0


def test_concentric_spheres_give_radial_strokes_of_r2_less_r1() -> None:
    ball = Ball("pipe", (1.0, -2.0), 0.0, (36.0, 36.0), 0.0, 72.0)
    mesh = trimesh.creation.icosphere(5, 16.0)
    mesh.apply_translation(ball.middle)
    rays = rays_of(mesh)
    angle = np.linspace(-1.2, 1.2, 40)
    out = np.column_stack([np.cos(angle) * 0.8, np.cos(angle) * 0.6, np.sin(angle)])
    feet = ball.middle + 16.0 * out
    strokes = strokes_of(ball, guide_of(ball, rays), rays, feet, out)
    assert strokes.clear.all()
    assert np.allclose(strokes.depths_mm, 20.0, rtol=0.01)


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_strokes_end_on_the_side_clear_and_uncrossed_in_every_container(block: Block) -> None:
    """A dumb-bell: its upper ball hangs over the neck where the line runs."""
    parts = []
    for radius, z in ((11.0, 12.0), (13.0, 36.0)):
        part = trimesh.creation.icosphere(4, radius)
        part.apply_translation([*block.centre_mm, z])
        parts.append(part)
    neck = trimesh.creation.cylinder(4.0, 24.0, sections=64)
    neck.apply_translation([*block.centre_mm, 24.0])
    mesh = trimesh.boolean.union([*parts, neck], engine="manifold")
    rays = rays_of(mesh)
    z = np.linspace(3.0, 44.0, 60)
    axis = np.column_stack([np.tile(block.centre_mm, (60, 1)), z])
    # The profile from outside in: the outermost surface at each height.
    far, face = rays.first(axis + np.array([60.0, 0.0, 0.0]), np.array([-1.0, 0.0, 0.0]))
    feet = axis + (60.0 - far)[:, None] * np.array([1.0, 0.0, 0.0])
    surface_normals = mesh.face_normals[face]
    strokes = strokes_of(block, guide_of(block, rays), rays, feet, surface_normals)
    assert strokes.clear.all()
    assert len(crossings(strip([strokes.ends, strokes.feet], strokes.splits))) == 0
    normals = block.wall_normals(strokes.ends)
    inside, outside = strokes.ends - 1e-3 * normals, strokes.ends + 1e-3 * normals
    assert block.holds(inside).all()
    assert not block.holds(outside).any()


def test_a_stroke_that_would_pass_through_the_piece_goes_round_it() -> None:
    """A screen stands before the foot; the straight way is shut, a lean over it is open."""
    post = trimesh.creation.box((4.0, 4.0, 50.0))
    post.apply_translation([3.0, 4.0, 24.0])
    screen = trimesh.creation.box((2.0, 6.0, 16.0))
    screen.apply_translation([15.0, 4.0, 25.0])
    rays = rays_of(trimesh.util.concatenate([post, screen]))
    z = np.linspace(10.0, 40.0, 31)
    feet = np.column_stack([np.full(31, 5.0), np.full(31, 4.0), z])
    out = np.tile([1.0, 0.0, 0.0], (31, 1))
    strokes = strokes_of(PIPE, guide_of(PIPE, rays), rays, feet, out)
    start = strokes.feet + np.array([0.05, 0.0, 0.0])
    hit, _ = rays.first(start, strokes.ends - start)
    assert np.all((hit >= 0.999) == strokes.clear)
    assert strokes.clear.mean() > 0.9
