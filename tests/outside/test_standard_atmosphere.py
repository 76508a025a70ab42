"""Pressure of the air against the tables of the standard atmosphere.

Source: ISO 2533:1975 and U.S. Standard Atmosphere 1976, geopotential altitude; figures from memory,
rounded to 0.01 kPa.
"""

from __future__ import annotations

import pytest

from partline.workshop.pressure import local_kpa


@pytest.mark.parametrize(
    ("metres", "kpa"),
    [(0.0, 101.325), (1000.0, 89.87), (2000.0, 79.50), (3000.0, 70.11), (5000.0, 54.02)],
)
def test_standard_atmosphere(metres: float, kpa: float) -> None:
    assert local_kpa(metres) == pytest.approx(kpa, abs=0.012)
