"""Vents that were told where to be: as good as planned ones where those were, refused inside."""

from __future__ import annotations

import numpy as np
import pytest
from test_venting import FINGERS, SQUARE, comb

from partline.air.told_vents import vents_at
from partline.air.venting import plan_vents
from partline.errors import CavityError

COMB = comb(*FINGERS)


def test_told_where_the_plan_has_them_they_do_as_much() -> None:
    planned = plan_vents(COMB, SQUARE, largest_mm3=1.0, diameter_mm=1.0)
    assert len(planned.vents) >= 2
    told = vents_at(COMB, SQUARE, [v.place for v in planned.vents], diameter_mm=1.0)
    assert told.after_mm3 == pytest.approx(planned.after_mm3, abs=1e-9)
    assert [v.vertex for v in told.vents] == [v.vertex for v in planned.vents]
    assert sum(v.saves_mm3 for v in told.vents) == pytest.approx(told.before_mm3 - told.after_mm3)


def test_one_that_is_moved_lets_out_only_what_lies_below_it_in_its_own_finger() -> None:
    # A finger 3 x 4 mm across holds all above the vent's end: the air is what is shorter.
    x, low, wide = FINGERS[1]
    top = vents_at(COMB, SQUARE, [(x + wide / 2, 3.0, low)], diameter_mm=1.0)
    (vent,) = top.vents
    assert vent.place[2] == pytest.approx(low)
    assert vent.saves_mm3 == pytest.approx(wide * 4 * (12 - low), rel=1e-6)
    assert {u.why for u in top.unvented} == {"no vent was set there"}
    assert len(top.unvented) == len(FINGERS) - 1


def test_a_place_without_a_way_out_is_refused_in_words() -> None:
    with pytest.raises(CavityError, match="No straight way leads to the mouth face from vent 1"):
        # A mouth face so far aside that no lean reaches it.
        vents_at(COMB, SQUARE + np.array([200.0, 0.0]), [(13.0, 3.0, 3.0)], diameter_mm=1.0)
    with pytest.raises(CavityError):
        vents_at(COMB, SQUARE, np.zeros((1, 3)), diameter_mm=-1.0)
