"""Plain shapes: the outline of an upright plane through a block, thick lines."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.faces.shapes import outline_at, rods, upright_ring


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 217.0])
@pytest.mark.parametrize("kind", ["cup", "box"])
def test_an_upright_ring_lies_in_its_plane_and_on_the_wall(kind, turn_deg):
    cup = replace(fake_plan().container, kind=kind, floor_width_mm=60.0, rim_width_mm=70.0,
                  floor_depth_mm=50.0, turn_deg=0.0)  # fmt: skip
    turn = np.radians(turn_deg)
    toward = np.array([np.cos(turn), np.sin(turn), 0.0])
    at = float(np.array([*cup.centre_mm, 0.0]) @ toward) + 11.0
    ring = upright_ring(cup, tuple(toward), at)
    assert ring @ toward == pytest.approx(np.full(len(ring), at))
    assert np.array_equal(ring[0], ring[-1])
    assert (ring[:, 2].min(), ring[:, 2].max()) == pytest.approx((0.0, cup.fill_height_mm))
    # Up one side and down the other, so that the outline never crosses itself.
    across = (ring[:-1] - [*cup.centre_mm, 0.0]) @ np.cross([0.0, 0.0, 1.0], toward)
    half = len(across) // 2
    assert (across[:half] < 0).all()
    assert (across[half:] > 0).all()
    if kind == "cup":
        far = np.linalg.norm(ring[:, :2] - cup.centre_mm, axis=1)
        wall = [np.linalg.norm(outline_at(cup, z)[0, :2] - cup.centre_mm) for z in ring[:, 2]]
        # A ring of 96 straight sides lies up to a 2000th inside the round.
        assert far == pytest.approx(wall, rel=6e-4)


def test_past_the_block_there_is_no_outline():
    cup = fake_plan().container
    assert len(upright_ring(cup, (1.0, 0.0, 0.0), cup.centre_mm[0] + cup.rim_width_mm)) == 0


def test_rods_lie_round_their_lines() -> None:
    starts = np.array([[0.0, 0.0, 0.0], [5.0, 1.0, 2.0], [3.0, 3.0, 3.0]])
    stops = np.array([[10.0, 0.0, 0.0], [5.0, 1.0, 9.0], [3.0, 3.0, 3.0]])
    found = rods(starts, stops, 0.5)
    ends = found.vertices.reshape(3, 2, 6, 3)
    assert np.isfinite(ends).all()  # a line of no length too
    for k in (0, 1):
        along = (stops[k] - starts[k]) / np.linalg.norm(stops[k] - starts[k])
        off = ends[k] - starts[k]
        away = np.linalg.norm(off - (off @ along)[..., None] * along, axis=-1)
        np.testing.assert_allclose(away, 0.5)
        assert (off[0] @ along < 0).all()
        assert (off[1] @ along > np.linalg.norm(stops[k] - starts[k])).all()
    # The side faces look outward.
    middle = found.vertices[found.faces].mean(axis=1)[:12]
    assert ((middle - 5.0 * np.eye(3)[0]) * found.face_normals[:12]).sum(axis=1).min() > 0.3
