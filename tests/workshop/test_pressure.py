"""Pressure of the air at altitude, against the standard atmosphere."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.pressure import local_kpa


@pytest.mark.parametrize(
    ("metres", "kpa"),
    # US Standard Atmosphere 1976 / ISO 2533 tables (from memory), rounded to 0.01 kPa.
    [(0.0, 101.325), (1000.0, 89.87), (2000.0, 79.50), (3000.0, 70.11), (5000.0, 54.02)],
)
def test_standard_atmosphere(metres: float, kpa: float) -> None:
    assert local_kpa(metres) == pytest.approx(kpa, abs=0.012)


def test_a_vacuum_gauge_cannot_read_more_than_the_air_presses() -> None:
    """Greatest reading in inHg at 500, 1000, 1500, 2000 m: 28.2, 26.5, 25.0, 23.5."""
    for metres, inches in ((500, 28.2), (1000, 26.5), (1500, 25.0), (2000, 23.5)):
        assert local_kpa(metres) / 3.386389 == pytest.approx(inches, abs=0.06)


def test_outside_the_lowest_layer() -> None:
    with pytest.raises(WorkshopError, match="12000 m"):
        local_kpa(12000.0)
