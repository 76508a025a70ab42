"""How flat what touches the floor is, how wide, and how many legs reach it, in closed form."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from partline.geometry.surface import Surface
from partline.stand.resting import FLAT, Resting, ground_of, legs_of

DOWN = np.array([0.0, 0.0, -1.0])


def resting(mesh: trimesh.Trimesh) -> Resting:
    return Resting(Surface(mesh.vertices, mesh.faces))


def fine(mesh: trimesh.Trimesh, edge: float) -> trimesh.Trimesh:
    vertices, faces = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.faces, edge)
    return trimesh.Trimesh(vertices, faces)


def test_of_a_flat_all_lies_low_and_of_a_ball_half():
    box = ground_of(resting(trimesh.creation.box((10, 20, 30))), DOWN)
    assert box.flatness == box.evenness == 1.0
    assert box.support == pytest.approx(200.0)
    # A cap's area is in proportion to its height.
    ball = ground_of(resting(trimesh.creation.icosphere(6, radius=10)), DOWN)
    assert ball.flatness == pytest.approx(0.5, abs=0.02)
    assert not ball.is_flat


def test_of_a_cylinder_on_its_side_the_root_of_a_half_lies_low():
    cylinder = trimesh.creation.cylinder(10, 40, sections=2000)
    ground = ground_of(resting(cylinder), np.array([1.0, 0.0, 0.0]))
    assert ground.share > 0.15  # as much as a base has, but it would roll
    assert ground.flatness == pytest.approx(np.sqrt(0.5), abs=0.02)
    assert not ground.is_flat


@pytest.mark.parametrize("noise_mm", [0.1, 0.3])
def test_a_rough_base_is_flat(noise_mm: float):
    box = fine(trimesh.creation.box((60, 60, 80)), 3.0)
    noise = np.random.default_rng(0).uniform(-noise_mm, noise_mm, box.vertices.shape)
    body = Resting(Surface(box.vertices + noise, box.faces))
    ground = ground_of(body, DOWN)
    assert ground.is_flat
    assert ground.share > 0.9


def test_a_small_round_tip_is_no_level_foot():
    tips = [trimesh.creation.icosphere(4, radius=1.0).apply_translation((x, y, 0))
            for x, y in ((-40, -30), (40, -30), (0, 50))]  # fmt: skip
    on_tips = ground_of(resting(trimesh.util.concatenate(tips)), DOWN)
    assert on_tips.feet == 3
    # Of what faces down within 60 degrees, as sin^2 60, what lies flat within 20 is sin^2 20.
    assert on_tips.evenness < (np.sin(np.radians(20)) / np.sin(np.radians(60))) ** 2 + 0.02
    assert on_tips.evenness < FLAT


def test_legs_are_separate_over_a_good_part_of_the_height():
    def stool(thick: float) -> Resting:
        legs = [trimesh.creation.cylinder(2, 40 - thick).apply_translation((x, y, (40 - thick) / 2))
                for x in (-15, 15) for y in (-15, 15)]  # fmt: skip
        seat = trimesh.creation.box((40, 40, thick)).apply_translation((0, 0, 40 - thick / 2))
        return resting(trimesh.boolean.union([*legs, seat], engine="manifold"))

    # Up to a fifth of 40: legs of 10 are legs, knobs of 6 are not.
    assert legs_of(stool(30.0), DOWN) == 4
    assert legs_of(stool(34.0), DOWN) == 1
    turn = Rotation.from_euler("x", 8, degrees=True).as_matrix()
    assert legs_of(stool(10.0), turn @ DOWN) == 2
