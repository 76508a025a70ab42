"""The outside laid flat: lengths are kept, and points roll back to where they were."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rubber_blocks import ALL, BOX, CUP, PIPE, on_wall

from partline.card.block import Block
from partline.card.unrolling import azimuths, layout_of

NONE = np.zeros((0, 3))


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_unrolled_points_roll_back_onto_the_container(block: Block) -> None:
    points = on_wall(block, 2000)
    layout = layout_of(block, points[:1])
    assert np.abs(layout.roll(layout.lay(points)) - points).max() < 1e-9


@pytest.mark.parametrize("block", ALL, ids=lambda b: f"{b.kind}{b.slope}")
def test_short_lengths_are_the_same_on_paper_as_on_the_wall(block: Block) -> None:
    points = on_wall(block, 2000)
    layout = layout_of(block, points[:1])
    flat = layout.lay(points)
    for step in ([0.01, 0.0], [0.0, 0.01], [0.007, 0.007]):
        moved = layout.roll(flat + step)
        long = np.linalg.norm(moved - points, axis=1)
        # Where a step passes a fold the straight way is shorter; few do.
        assert np.mean(np.isclose(long, np.linalg.norm(step), rtol=1e-4)) > 0.99


def test_a_pipe_is_a_rectangle_as_long_as_its_circumference() -> None:
    edge = layout_of(PIPE, NONE).edge(10.0)
    assert np.allclose(edge[:, 1], 10.0)
    assert math.isclose(edge[-1, 0] - edge[0, 0], 2 * math.pi * 35.0)


def test_a_cup_is_a_sector_of_a_ring_of_the_textbook_angle() -> None:
    """Unrolled frustum: slant radius r / sin a, angle 2 pi sin a (any handbook of sheet metal)."""
    layout = layout_of(CUP, NONE)
    sine = 0.13 / math.hypot(1, 0.13)
    for z in (0.0, 80.0):
        edge = layout.edge(z)
        radius = 32.0 + 0.13 * z
        apex = np.array([0.0, -32.0 / sine])
        assert np.allclose(np.linalg.norm(edge - apex, axis=1), radius / sine)
        long = np.linalg.norm(np.diff(edge, axis=0), axis=1).sum()
        assert math.isclose(long, 2 * math.pi * radius, rel_tol=1e-5)


def test_a_cup_that_hardly_tapers_is_laid_out_like_a_pipe() -> None:
    hardly = Block("cup", PIPE.centre_mm, 0.0, PIPE.half_mm, 1e-5, 60.0)
    points = on_wall(PIPE, 200)
    close = layout_of(hardly, NONE).lay(points) - layout_of(PIPE, NONE).lay(points)
    # The middle of a sector of so large a radius bows by R phi^2 sin a / 2.
    assert np.abs(close).max() < 0.01


def test_seen_from_outside_with_the_mouth_up_clockwise_lies_to_the_left() -> None:
    layout = layout_of(PIPE, NONE)
    front = np.array([[3.0, -31.0, 20.0], [38.0, 4.0, 20.0]])  # front mark, then 90 degrees
    assert np.allclose(np.degrees(azimuths(PIPE, front)), [0.0, 90.0])
    paper = layout.lay(front)
    assert paper[1, 0] < paper[0, 0]


def test_the_ends_meet_away_from_what_is_avoided() -> None:
    points = on_wall(BOX, 5)
    for block in (PIPE, CUP):
        seam = layout_of(block, points)
        away = np.abs(np.angle(np.exp(1j * (azimuths(block, points) - seam.seam))))  # type: ignore[union-attr]
        assert away.min() > np.pi / 6 - 1e-9
