"""A piece stood aslant though it has a base is told so, with what would stand it level."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
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


def test_a_mouth_of_ones_own_is_meant() -> None:
    leaning = master_of(box(30, 20, 40).rotate((12.0, 0.0, 0.0)))
    top = leaning.surface.vertices[np.argmax(leaning.surface.vertices[:, 2])]
    assert place(leaning, mouth="point", mouth_point=top).warnings == ()
