"""The guide against the closed form between two cylinders."""

from __future__ import annotations

import numpy as np
from rubber_blocks import PIPE, upright

from partline.card.guide import followed, guide_of


def test_gradient_between_cylinders_is_that_of_the_logarithm() -> None:
    """u = ln(r / R1) / ln(R2 / R1), a textbook solution of Laplace's equation."""
    inner, outer = 15.0, PIPE.half_mm[0]
    errors = []
    for cell in (3.0, 1.5):
        guide = guide_of(PIPE, upright(inner, 62.0, PIPE.centre_mm), cell_mm=cell)
        turn, radius = np.meshgrid(np.linspace(0, 6, 40), np.linspace(18, 32, 8))
        points = np.column_stack(
            [
                3.0 + (radius * np.cos(turn)).ravel(),
                4.0 + (radius * np.sin(turn)).ravel(),
                np.full(radius.size, 30.0),
            ]
        )
        found = np.linalg.norm(guide.at(points), axis=1)
        true = 1 / (radius.ravel() * np.log(outer / inner))
        errors.append(float(np.abs(found / true - 1).max()))
    assert errors[1] < 0.03
    assert errors[1] < errors[0]


def test_lines_end_on_the_side_wall_and_never_on_the_mouth_face() -> None:
    rays = upright(15.0, 40.0, PIPE.centre_mm)
    guide = guide_of(PIPE, rays)
    heights = np.linspace(0.2, 38.0, 20)
    feet = np.column_stack([np.full(20, 18.0), np.full(20, 4.0), heights])
    ways = np.tile([1.0, 0.0, 0.0], (20, 1))
    ends = np.array([line[-1] for line in followed(guide, PIPE, feet, ways)])
    radius = np.hypot(ends[:, 0] - 3.0, ends[:, 1] - 4.0)
    assert np.allclose(radius, 35.0, atol=1e-6)
    # Field lines never cross: they end in the order in which they begin.
    assert np.all(np.diff(ends[:, 2]) > 0)
