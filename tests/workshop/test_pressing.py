"""The pressure pot: never above its plate."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.pressing import pressing_of

KNOWN, AIR, PSI = defaults(), 101.325, 6.894757


def test_sixty_psi_in_a_pot_for_eighty() -> None:
    """60 psi leaves a fifth of a bubble, 58 % of its width (Boyle, arithmetic)."""
    found = pressing_of(AIR + 80 * PSI, None, 0.0, KNOWN)
    assert found.gauge_kpa == pytest.approx(60 * PSI, rel=1e-5)
    assert found.bubble_share == pytest.approx(0.20, abs=0.005)
    assert found.width_share == pytest.approx(0.58, abs=0.005)
    assert "60 psi (4.1 bar)" in found.words[0]


@given(st.floats(5, 200), st.none() | st.floats(1, 300), st.floats(0, 3000))
def test_no_plan_goes_above_a_rating(rating: float, wanted: float | None, metres: float) -> None:
    from partline.workshop.pressure import local_kpa

    here = local_kpa(metres)
    pot = here + rating * PSI
    goal = None if wanted is None else here + wanted * PSI
    if wanted is not None and wanted > rating + 1e-6:
        with pytest.raises(WorkshopError, match=r"pressure is .*pressure_pot_rating"):
            pressing_of(pot, goal, metres, KNOWN)
        return
    found = pressing_of(pot, goal, metres, KNOWN)
    assert 0 < found.gauge_kpa <= 0.8 * rating * PSI + 1e-6
    if wanted is not None:
        assert found.gauge_kpa <= wanted * PSI + 1e-6


def test_a_rating_is_asked_for() -> None:
    found = pressing_of(None, None, 0.0, KNOWN)
    assert found.gauge_kpa is None
    assert "pressure_pot_rating" in found.words[0]
    with pytest.raises(WorkshopError, match="pressure_pot_rating"):
        pressing_of(None, AIR + 60 * PSI, 0.0, KNOWN)
    with pytest.raises(WorkshopError, match="pressure is 60 kPa absolute"):
        pressing_of(AIR + 80 * PSI, 60.0, 0.0, KNOWN)
