"""What it means that a stroke is clear: a post and a screen before it, told by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import trimesh
from rubber_blocks import PIPE, rays_of

from partline.card.block import Block
from partline.card.clear import TIP_MM, barred, clear_of, let_out
from partline.cut.cut import OverFloor
from partline.geometry.rays import Rays

OUT = np.array([[1.0, 0.0, 0.0]])


def post_and_screen(gap_mm: float, lowest_mm: float) -> Rays:
    """A post whose face is x = 5, and a screen so far before it that reaches down to a height."""
    post = trimesh.creation.box((4.0, 4.0, 50.0))
    post.apply_translation([3.0, 4.0, 24.0])
    screen = trimesh.creation.box((1.0, 6.0, 20.0))
    screen.apply_translation([5.0 + gap_mm + 0.5, 4.0, lowest_mm + 10.0])
    return rays_of(trimesh.util.concatenate([post, screen]))


def strokes(rays: Rays, feet_z: list[float], ways: np.ndarray = OUT) -> list[bool]:
    feet = np.column_stack([np.full(len(feet_z), 5.0), np.full(len(feet_z), 4.0), feet_z])
    ways = np.broadcast_to(ways / np.linalg.norm(ways), feet.shape)
    return [bool(c) for c in let_out(PIPE, rays, feet, ways)[1]]


@pytest.mark.parametrize("gap", [0.3, 3.0, 20.0])
def test_a_stroke_is_clear_below_a_screen_and_not_behind_it(gap: float) -> None:
    """However near the foot the screen stands: past the tip there is no second thought."""
    assert strokes(post_and_screen(gap, 30.0), [29.9, 30.1]) == [True, False]


def test_what_only_the_tip_touches_is_not_in_the_way() -> None:
    """The groove's far wall stands nearer than the tip is long: the tip has got to it."""
    thin = trimesh.creation.box((0.1, 6.0, 20.0))
    thin.apply_translation([5.0 + TIP_MM / 2, 4.0, 40.0])
    post = trimesh.creation.box((4.0, 4.0, 50.0))
    post.apply_translation([3.0, 4.0, 24.0])
    assert strokes(rays_of(trimesh.util.concatenate([post, thin])), [35.0]) == [True]


def test_a_stroke_along_the_skin_into_the_piece_is_not_clear() -> None:
    """The way must leave the piece: one that goes down into it is told at once."""
    rays = post_and_screen(20.0, 30.0)
    assert strokes(rays, [20.0], np.array([-1.0, 0.0, 0.0])) == [False]
    assert strokes(rays, [20.0], np.array([0.02, 0.0, -1.0])) == [False]  # out by the mouth face
    assert strokes(rays, [20.0], np.array([0.02, 1.0, 0.0])) == [True]


def test_it_may_come_out_of_the_far_face_only_where_the_cut_goes_over_it() -> None:
    rays = post_and_screen(20.0, 30.0)
    feet, up = np.array([[3.0, 4.0, 49.0]]), np.array([[0.0, 0.0, 1.0]])
    over: Block = dataclasses.replace(PIPE, over=over_floor(never_past_mm=10.0))
    for block, may in ((PIPE, False), (over, True)):
        ends, clear = let_out(block, rays, feet, up)
        assert ends[0] == pytest.approx([3.0, 4.0, 60.0])
        assert bool(clear[0]) is may


def test_it_may_not_come_out_beside_the_hinge() -> None:
    """Neither of the side nor of the far face, however near the line's own end it starts."""
    rays = post_and_screen(20.0, 30.0)
    block: Block = dataclasses.replace(PIPE, over=over_floor(never_past_mm=10.0))
    feet = np.array([[5.0, 4.0, 45.0]] * 4)
    ways = np.array([[0.05, 0.0, 1.0], [0.3, 0.0, 1.0], [0.9, 0.0, 1.0], [1.0, 0.0, 0.1]])
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    ends, clear = let_out(block, rays, feet, ways)
    assert (ends[:, 0] <= 10.0).tolist() == [True, True, False, False]
    assert clear.tolist() == [True, True, False, False]


def over_floor(*, never_past_mm: float) -> OverFloor:
    """Over the far face toward a hinge at the right (+X)."""
    return OverFloor("right", (1.0, 0.0, 0.0), 0.0, 5.0, never_past_mm, web_mm=20.0)


def test_a_foot_sunk_in_the_skin_by_less_than_the_tip_may_be_clear() -> None:
    rays = post_and_screen(20.0, 30.0)
    ends = np.array([[38.0, 4.0, 20.0]] * 2)
    sunk = np.array([[5.0 - 0.8 * TIP_MM, 4.0, 20.0], [5.0 - 1.2 * TIP_MM, 4.0, 20.0]])
    assert clear_of(rays, sunk, ends).tolist() == [True, False]


def test_the_way_between_two_strokes_is_barred_where_the_piece_stands_in_it() -> None:
    """Two strokes under it, one past its left, one past its right, and one beside that."""
    rays = post_and_screen(20.0, 30.0)
    feet = np.array([[5.0, 4.0, z] for z in (25.0, 27.0, 37.0, 38.0, 39.0)])
    ends = np.array([[36.0, y, z] for y, z in ((4, 25), (4, 27), (-10, 37), (18, 38), (19, 39))])
    assert clear_of(rays, feet, ends).all()
    assert barred(rays, feet, ends).tolist() == [False, False, True, False]
