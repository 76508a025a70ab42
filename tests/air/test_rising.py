"""Rise of small bubbles against the trade's worked table (Stokes' law, computed from the formula).

Table: rigid ball, liquid of 1.15 g/cm^3 is not stated there; the figures agree with 1.06.
"""

from __future__ import annotations

import pytest

from partline.air.rising import rise_mm_s


@pytest.mark.parametrize(
    ("diameter", "viscosity", "speed"),
    [(0.25, 0.08, 0.45), (0.5, 0.08, 1.8), (1.0, 0.08, 7.2), (1.0, 0.15, 3.8), (0.5, 0.6, 0.24)],
)
def test_worked_table(diameter: float, viscosity: float, speed: float) -> None:
    found = rise_mm_s(diameter, viscosity_pa_s=viscosity, density=1.06)
    assert found == pytest.approx(speed, rel=0.03)


def test_worked_example_of_one_bubble() -> None:
    # Stokes, r = 0.5 mm in 0.1 Pa s: 2 * 1050 kg/m3 * 9.81 * r^2 / (9 mu) = 5.7 mm/s.
    assert rise_mm_s(1.0, viscosity_pa_s=0.1, density=1.05) == pytest.approx(5.72, rel=0.01)


def test_a_clean_bubble_is_half_as_fast_again() -> None:
    slow = rise_mm_s(0.5, viscosity_pa_s=0.1, density=1.0)
    assert rise_mm_s(0.5, viscosity_pa_s=0.1, density=1.0, clean=True) == pytest.approx(1.5 * slow)


def test_large_bubbles_are_counted_as_small_ones() -> None:
    most = rise_mm_s(1.5, viscosity_pa_s=0.1, density=1.0)
    assert rise_mm_s(10.0, viscosity_pa_s=0.1, density=1.0) == most
