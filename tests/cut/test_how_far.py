from __future__ import annotations

import numpy as np
import pytest
from cut_solids import bollard, standing, turned

from partline.cut.demould import demould
from partline.cut.how_far import at, how_far
from partline.errors import StandError


def depth_of(stand, working=0.875, web_mm=None):
    return how_far(stand, demould(stand.piece, stand.seat_mm), working=working, web_mm=web_mm)


def test_custom_rules_where_the_stretch_asks_for_less() -> None:
    depth = depth_of(standing(bollard()))
    assert depth.marks.try_here_mm == pytest.approx(15 + 30)
    assert depth.marks.likely_mm == pytest.approx(15 + 40)
    assert depth.marks.never_past_mm == pytest.approx(15 + 0.97 * 60)


def test_a_stiffer_rubber_is_cut_further() -> None:
    """Knob of 25 over a stem of 8 with its waist high up: the ring that bears 10 % lies higher."""
    height = np.linspace(0, 60, 200)
    stand = standing(turned(np.column_stack([8 + 17 / (1 + np.exp((48 - height) / 3)), height])))
    soft, stiff = depth_of(stand), depth_of(stand, working=0.1)
    assert stiff.marks.try_here_mm > soft.marks.try_here_mm
    snaking, _ = at(stiff.curve, stiff.marks.likely_mm)
    assert snaking <= 0.1
    below = at(stiff.curve, stiff.marks.try_here_mm - 1.0)[0]
    assert below > 0.1


def test_a_thicker_web_ends_the_cut_sooner_and_too_thick_a_web_is_refused() -> None:
    stand = standing(bollard())
    depth = depth_of(stand, web_mm=40.0)
    assert depth.marks.never_past_mm == pytest.approx(stand.block_height_mm - 40)
    assert depth.marks.likely_mm <= depth.marks.never_past_mm
    with pytest.raises(StandError, match="leaves nothing"):
        depth_of(stand, web_mm=80.0)


def test_above_the_last_ring_nothing_stretches() -> None:
    depth = depth_of(standing(bollard()))
    assert at(depth.curve, 1e6) == (0.0, 0.0)
