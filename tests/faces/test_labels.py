"""Words beside a picture never overlap and never change sides without need."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.faces.labels import ROWS, Tag, in_sight, leaders, level_toward, screen_axes, spread
from partline.geometry.points import span


def _reach(points, eye):
    return span(points, screen_axes(eye))


@given(st.lists(st.floats(-50, 50), max_size=20))
def test_places_are_apart_in_order_and_inside(wanted):
    rows = spread(np.array(wanted), 4.0, -40.0, 40.0)
    step = min(4.0, 80.0 / max(len(wanted) - 1, 1))
    ordered = np.sort(rows)
    assert (np.diff(ordered) >= step - 1e-9).all()
    assert len(rows) == 0 or (rows.min() >= -40 - 1e-9 and rows.max() <= 40 + 1e-9)
    order = np.argsort(wanted, kind="stable")
    assert (np.diff(rows[order]) > 0).all()


def test_places_far_apart_stay_where_they_are():
    assert spread(np.array([3.0, -10.0, 20.0]), 4.0, -40, 40) == pytest.approx([3, -10, 20])


def test_two_at_one_place_part_evenly():
    assert spread(np.array([5.0, 5.0]), 4.0, -40, 40) == pytest.approx([3.0, 7.0])


@pytest.mark.parametrize("eye", [(0, -1, 0), (0.3, -1, 0.3), (0, 0, 1), (0, 0, -1), (-1, 2, -3)])
def test_the_picture_s_axes_are_a_turn(eye):
    axes = np.array(screen_axes(eye))
    assert np.allclose(axes @ axes.T, np.eye(3))
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_seen_from_the_front_right_is_plus_x():
    right, up, _ = screen_axes((0, -1, 0))
    assert right == pytest.approx([1, 0, 0])
    assert up == pytest.approx([0, 0, 1])


def test_words_stand_outside_what_is_shown_and_apart():
    rng = np.random.default_rng(5)
    shown = rng.uniform(-20, 20, (500, 3))
    tags = [Tag(str(k), shown[k], "#000000") for k in range(14)]
    found = leaders(tags, _reach(shown, (0, -1, 0)), (0, -1, 0))
    assert {f.word for f in found} == {t.word for t in tags}
    for side, sign in (("left", -1), ("right", 1)):
        ends = np.array([f.end for f in found if f.side == side])
        assert (sign * ends[:, 0] > 20).all()
        assert np.diff(np.sort(ends[:, 2])).min() >= 39 / ROWS - 0.1


def test_words_beside_a_flat_piece_keep_their_rows():
    """Twelve windows in a row along a piece 60 mm wide and 4 mm high."""
    shown = np.array([[-30, 0, 0], [30, 0, 4.0]])
    tags = [Tag(str(k), np.array([5.0 * k - 27, 0, 2.0]), "#000000") for k in range(12)]
    found = leaders(tags, _reach(shown, (0, -1, 0)), (0, -1, 0))
    for side in ("left", "right"):
        rows = np.sort([f.end[2] for f in found if f.side == side])
        assert np.diff(rows).min() == pytest.approx(1.25 * 60 / ROWS)
        assert rows.mean() == pytest.approx(2.0)
    # From its end it is narrow, and stands at the same scale beside the view from its side.
    ends = leaders(tags[:4], _reach(shown, (1, 0, 0)), (1, 0, 0))
    rows = [f.end[2] for f in ends if f.side == "right"]
    assert np.ptp(rows) == pytest.approx((len(rows) - 1) * 1.25 * 60 / ROWS)
    assert len(rows) > 1


def test_all_on_one_side_is_shared_out():
    shown = np.array([[x, 0.0, z] for x in (-10, 10) for z in (-10, 10)])
    tags = [Tag(str(k), np.array([5.0 + 0.1 * k, 0, 0]), "#000000") for k in range(26)]
    sides = [f.side for f in leaders(tags, _reach(shown, (0, -1, 0)), (0, -1, 0))]
    assert sides.count("left") == 12 or sides.count("right") <= 14


def test_what_lies_behind_is_out_of_sight():
    piece = np.array([[0.0, -10, 0], [0, 10, 0], [5, 0, 30]])
    near, far = (Tag("1", np.array([0.0, y, 5]), "#000000") for y in (-9.0, 9.0))

    def seen(tag, eye):
        return in_sight(tag, span(piece, level_toward(eye)[None])[:, 0], eye)

    assert seen(near, (0, -1, 0.3))
    assert not seen(far, (0, -1, 0.3))
    assert seen(far, (0, 1, -0.3))


def test_nothing_to_name_is_no_words():
    assert leaders([], np.eye(3)[:2], (0, -1, 0)) == []
