"""Pressure of the air at altitude, against the standard atmosphere."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.pressure import bubble_share, local_kpa, planned_gauge_kpa


def test_a_vacuum_gauge_cannot_read_more_than_the_air_presses() -> None:
    """Greatest reading in inHg at 500, 1000, 1500, 2000 m: 28.2, 26.5, 25.0, 23.5."""
    for metres, inches in ((500, 28.2), (1000, 26.5), (1500, 25.0), (2000, 23.5)):
        assert local_kpa(metres) / 3.386389 == pytest.approx(inches, abs=0.06)


def test_outside_the_lowest_layer() -> None:
    with pytest.raises(WorkshopError, match="12000 m"):
        local_kpa(12000.0)


@pytest.mark.parametrize(
    ("psi", "share"),
    # Boyle's law (V p constant; any textbook of physics), arithmetic with p0 = 14.696 psi.
    [(20, 0.42), (30, 0.33), (40, 0.27), (45, 0.25), (50, 0.23), (60, 0.20), (80, 0.155)],
)
def test_a_bubble_under_pressure(psi: float, share: float) -> None:
    assert bubble_share(psi * 6.894757) == pytest.approx(share, abs=0.005)


def test_a_bubble_under_vacuum_swells() -> None:
    """29 inHg below the standard atmosphere: about 32 times (Boyle, arithmetic)."""
    assert bubble_share(-29 * 3.386389) == pytest.approx(32.5, abs=0.5)
    with pytest.raises(WorkshopError, match="no pressure"):
        bubble_share(-101.325)


def test_nothing_is_planned_above_a_rating() -> None:
    assert planned_gauge_kpa(101.325 + 1000, share=0.8, usual_kpa=413.685) == 413.685
    assert planned_gauge_kpa(101.325 + 300, share=0.8, usual_kpa=413.685) == pytest.approx(240.0)
    with pytest.raises(WorkshopError, match="nothing is planned above"):
        planned_gauge_kpa(500.0, share=1.1, usual_kpa=413.685)
    with pytest.raises(WorkshopError, match="with gauge"):
        planned_gauge_kpa(60.0, share=0.8, usual_kpa=413.685)
