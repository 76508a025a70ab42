"""Pits with known necks."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.cut.pits import pits
from partline.geometry.surface import Surface


def dented(radius: float, middle: float) -> Surface:
    ball = trimesh.creation.icosphere(5, 15)
    hollow = trimesh.creation.icosphere(4, radius)
    hollow.apply_translation([0, middle, 0])
    cut = trimesh.boolean.difference([ball, hollow])
    return Surface(cut.vertices, cut.faces)


@pytest.mark.parametrize(("radius", "middle"), [(6.0, 11.0), (5.0, 11.5)])
def test_a_round_pit_gives_by_the_ratio_of_its_ball_to_its_neck(radius, middle) -> None:
    """Closed form: the neck is where two spheres meet."""
    y = (15**2 + middle**2 - radius**2) / (2 * middle)
    neck = np.sqrt(15**2 - y**2)
    found = pits(dented(radius, middle))
    assert len(found) == 1
    assert found[0].neck_mm == pytest.approx(2 * np.pi * neck, rel=0.06)
    assert found[0].inside_mm == pytest.approx(2 * np.pi * radius, rel=0.03)
    assert found[0].stretch == pytest.approx(radius / neck - 1, abs=0.06)
    assert found[0].place_mm[1] == pytest.approx(y, abs=0.6)


def test_a_dish_and_a_plain_ball_have_none() -> None:
    assert pits(dented(8.0, 18.0)) == ()
    ball = trimesh.creation.icosphere(4, 15)
    assert pits(Surface(ball.vertices, ball.faces)) == ()
