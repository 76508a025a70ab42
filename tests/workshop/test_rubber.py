"""Degassing and floating."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.rubber import degassing_cup_mm3, float_force_n


def test_a_hollow_print_floats() -> None:
    """200 mL at 0.3 g/cm3 in rubber of 1.15: 1.7 N upward (Archimedes, arithmetic)."""
    assert float_force_n(200e3, 0.3, 1.15) == pytest.approx(0.85 * 0.2 * 9.80665)
    assert round(float_force_n(200e3, 0.3, 1.15), 1) == 1.7
    assert float_force_n(1e5, 8.0, 1.15) < 0


def test_the_degassing_cup_holds_four_times_the_rubber() -> None:
    """Three to five times: leaflets on vacuuming; the default is four."""
    assert degassing_cup_mm3(250e3) == 1e6
    assert degassing_cup_mm3(250e3, 3) == 750e3


@pytest.mark.parametrize("wrong", [(0.0, 4.0), (1e5, 0.5), (float("inf"), 4.0)])
def test_what_cannot_be(wrong: tuple[float, float]) -> None:
    with pytest.raises(WorkshopError):
        degassing_cup_mm3(*wrong)
    with pytest.raises(WorkshopError):
        float_force_n(0.0, 1.0, 1.0)
