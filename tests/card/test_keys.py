"""The zigzag: its flanks, its room, smooth beside the piece, never across itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rubber_blocks import CUP, upright
from shapely.geometry import LineString

from partline.card.cutting_card import Keys, Strokes
from partline.card.keys import keys_of
from partline.card.swept import crossings
from partline.card.unrolling import layout_of
from partline.geometry.surface import Floats

COUNT = 50


def winding(swing_deg: float = 14.0) -> Strokes:
    """A line that snakes up a post in a cup."""
    z = np.linspace(0.5, 60.0, COUNT)
    turn = np.radians(40 + swing_deg * np.sin(z / 6.0))
    return radial(turn, z)


def radial(turn: Floats, z: Floats) -> Strokes:
    """Straight out of a post in the cup, along any line on it."""
    out = np.column_stack([np.cos(turn), np.sin(turn), 0 * z])
    axis = np.column_stack([np.tile(CUP.centre_mm, (COUNT, 1)), z])
    feet = axis + 12.0 * out
    ends = feet + CUP.exits(feet, out, sides_only=True)[:, None] * out
    clear = np.ones(COUNT, dtype=bool)
    return Strokes(feet, ends, clear, ~clear, np.zeros(0, np.int32))


def made(strokes: Strokes, *, free: Floats | float = np.inf, smooth: float = 4.0) -> Keys:
    rays = upright(12.0, 64.0, CUP.centre_mm)
    turn = np.linspace(0, 2 * np.pi, 200)
    ring = np.column_stack([np.cos(turn), np.sin(turn)]) * 12.0 + CUP.centre_mm
    piece = np.vstack([np.column_stack([ring, np.full(200, z)]) for z in np.arange(0, 63.0)])
    return keys_of(
        strokes, layout_of(CUP, strokes.ends), free_mm=np.broadcast_to(free, COUNT).copy(),
        piece=piece, rays=rays, width_mm=6.0, pitch_mm=12.0, flank_deg=50.0, smooth_mm=smooth,
    )  # fmt: skip


@pytest.mark.parametrize("swing", [0.0, 8.0, 14.0, 25.0])
@pytest.mark.parametrize("smooth", [0.0, 4.0])
def test_never_across_itself_on_paper_or_in_space(swing: float, smooth: float) -> None:
    strokes = winding(swing)
    keys = made(strokes, smooth=smooth)
    layout = layout_of(CUP, strokes.ends)
    assert LineString(layout.lay(keys.outside)).is_simple
    assert len(crossings(keys.surface)) == 0


@settings(max_examples=8, deadline=None)
@given(
    waves=st.lists(st.tuples(st.floats(2.0, 20.0), st.floats(3.0, 20.0), st.floats(0.0, 6.3)),
                   min_size=1, max_size=3),
    smooth=st.sampled_from([0.0, 4.0]),
    free=st.floats(0.0, 12.0),
)  # fmt: skip
def test_whatever_way_the_line_winds_no_key_crosses_another_or_its_corridor(
    waves: list[tuple[float, float, float]], smooth: float, free: float
) -> None:
    z = np.linspace(0.5, 60.0, COUNT)
    turn = np.radians(40 + sum(a * np.sin(z / long + phase) for a, long, phase in waves))
    strokes = radial(turn, z)
    keys = made(strokes, free=free, smooth=smooth)
    assert LineString(layout_of(CUP, strokes.ends).lay(keys.outside)).is_simple
    assert len(crossings(keys.surface)) == 0
    assert np.all(keys.half_mm <= free + 1e-12)
    assert np.abs(keys.sideways_mm).max() <= keys.half_mm.max() + 1e-12


def test_flanks_have_the_slope_that_was_asked_for() -> None:
    keys = made(winding(0.0))
    layout = layout_of(CUP, winding(0.0).ends)
    paper = layout.lay(keys.outside)
    step = np.diff(paper, axis=0)
    middle = layout.lay(winding(0.0).ends)
    along = (middle[-1] - middle[0]) / np.linalg.norm(middle[-1] - middle[0])
    run = step @ along
    rise = np.abs(step @ np.array([along[1], -along[0]]))
    slope = np.degrees(np.arctan2(rise, run))
    flanks = slope[slope > 10]
    # Steps that hold a corner between flank and flat lie in between.
    assert np.median(flanks) == pytest.approx(50.0, abs=0.5)
    assert flanks.max() < 51.0
    assert np.ptp(keys.sideways_mm) == pytest.approx(6.0, abs=1e-6)


def test_smooth_next_to_the_piece_and_jagged_all_the_way_by_choice() -> None:
    axis = np.array(CUP.centre_mm)
    smooth, jagged = made(winding()), made(winding(), smooth=0.0)
    rows = smooth.surface.vertices.reshape(4, -1, 3)
    away = np.hypot(*(rows[2] - [*axis, 0.0])[:, :2].T) - 12.0
    assert np.allclose(away, 4.0, atol=0.3)  # where the zigzag has faded out
    keyed = np.hypot(*(rows[1] - [*axis, 0.0])[:, :2].T) - 12.0
    assert keyed.min() > 0.8 * 4.0
    inner = jagged.surface.vertices.reshape(2, -1, 3)[1]
    assert np.allclose(np.hypot(*(inner - [*axis, 0.0])[:, :2].T), 12.0, atol=0.05)
    across = np.linalg.norm(np.diff(inner, axis=0), axis=1).sum()
    plain = np.linalg.norm(np.diff(winding().feet, axis=0), axis=1).sum()
    assert across > 1.05 * plain


def test_no_wider_than_what_detail_and_the_wall_leave_free() -> None:
    free = np.full(COUNT, np.inf)
    free[20:30] = 1.6
    free[40:] = 0.4
    keys = made(winding(0.0), free=free)
    assert np.all(keys.half_mm <= free + 1e-12)
    assert np.all(keys.half_mm[40:] == 0.0)
    assert keys.half_mm[:19].min() == pytest.approx(3.0)
    thin = winding(0.0)
    near = Strokes(thin.ends - 0.2 * (thin.ends - thin.feet), thin.ends, thin.clear, thin.pit,
                   thin.splits)  # fmt: skip
    assert np.all(made(near, smooth=0.0).half_mm <= 0.45 * near.depths_mm / 2 + 1e-12)
