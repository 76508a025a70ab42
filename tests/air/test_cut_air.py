"""What a cut vents where it passes through a pocket."""

from __future__ import annotations

import numpy as np
import pytest
from test_venting import DOWN, FINGERS, comb

from partline.air.cut_air import air_at_cuts
from partline.air.pockets import trapped_air

CAVITY = comb(*FINGERS)
AIR = trapped_air(CAVITY, DOWN)


def at(lines: list[np.ndarray]):
    return air_at_cuts(CAVITY, AIR, lines, visible_mm=0.5)


def test_a_cut_up_one_finger_frees_what_lies_below_its_end() -> None:
    # Up the second finger's front wall, from the room (z 14) to z 5: the top is at z 3.
    (one,) = at([np.array([[13.0, 1.0, 14.0], [13.0, 1.0, 5.0]])])
    pocket = AIR.pockets[one.pocket]
    assert pocket.volume_mm3 == pytest.approx(108.0)
    assert one.place[2] == pytest.approx(5.0, abs=0.6)
    # The finger is 3 by 4: what stays is what lies above the place.
    assert one.stays_mm3 == pytest.approx(12.0 * (one.place[2] - 3.0))
    assert one.frees_mm3 + one.stays_mm3 == pytest.approx(108.0)


def test_of_two_cuts_the_higher_counts_and_a_cut_elsewhere_passes_none() -> None:
    low = np.array([[13.0, 1.0, 14.0], [13.0, 1.0, 9.0]])
    high = np.array([[14.0, 5.0, 14.0], [14.0, 5.0, 3.0]])
    (one,) = at([low, high])
    assert one.line == 1
    assert one.stays_mm3 == pytest.approx(0.0, abs=1e-9)
    assert at([np.array([[28.0, 0.0, 0.0], [28.0, 0.0, 19.0]])]) == ()
    assert at([]) == ()
