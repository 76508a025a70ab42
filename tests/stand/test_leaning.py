"""A piece stood aslant though it has a base is told so, with what would stand it level."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from manifold3d import Manifold, OpType
from scipy.spatial.transform import Rotation
from standing import box, master_of

from partline.scan.orienting import turning
from partline.stand.placing import place


def test_a_box_that_leans_is_told_how_far_and_what_would_stand_it_level() -> None:
    leaning = box(30, 20, 40).rotate((12.0, 0.0, 0.0))
    # The file has it turned and half as large: what is told is in the file's own coordinates.
    turn = Rotation.from_euler("xyz", (20, 70, -40), degrees=True).as_matrix()
    pose = np.eye(4)
    pose[:3, :3] = 2.0 * turn
    stand = place(replace(master_of(leaning), to_pose=pose))
    (words,) = stand.warnings
    assert words.startswith("It stands 12° off a flat base of 100 % of its outline, so ")
    assert f"{stand.sink_mm:.2g} mm is trimmed off aslant" in words
    told = words.split("up = ")[1].split(" under")[0]
    level = np.array([0.0, -np.sin(np.radians(12)), np.cos(np.radians(12))])
    np.testing.assert_allclose(turning(told, "+y")[2], turn.T @ level, atol=1e-4)


@pytest.mark.parametrize("lean_deg", [0.0, 1.0])
def test_a_box_that_stands_is_told_nothing(lean_deg: float) -> None:
    assert place(master_of(box(30, 20, 40).rotate((lean_deg, 0.0, 0.0)))).warnings == ()


def test_three_legs_that_do_not_all_reach_are_told_with_one_foot_on_the_floor() -> None:
    legs = [
        Manifold.cylinder(length, 4.0, 4.0, 64).translate((x, y, -length))
        for length, x, y in ((40, -24, -20), (34, 24, -20), (28, 0, 24))
    ]
    seat = box(60, 60, 8).translate((-30, -30, -1))
    stand = place(master_of(Manifold.batch_boolean([seat, *legs], OpType.Add)))
    assert stand.feet == 1
    (words,) = stand.warnings
    # 6 over 48 mm and 9 over 44 mm between the middles of the legs.
    tilt = np.degrees(np.arctan(np.hypot(6 / 48, 9 / 44)))
    assert words.startswith(f"It stands {tilt:.0f}° off 3 feet")
    assert "It touches the floor with one foot only" in words


def test_a_mouth_of_ones_own_is_meant() -> None:
    leaning = master_of(box(30, 20, 40).rotate((12.0, 0.0, 0.0)))
    top = leaning.surface.vertices[np.argmax(leaning.surface.vertices[:, 2])]
    assert place(leaning, mouth="point", mouth_point=top).warnings == ()
