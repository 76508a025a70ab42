"""Conversion factors against NIST Special Publication 811 (2008), Appendix B.8.

Source: A. Thompson and B. N. Taylor, "Guide for the Use of the International System of Units
(SI)", NIST SP 811, 2008 edition, B.8 (factors listed alphabetically); those it prints in bold
are exact. The figures stand here as remembered from that table, not copied from an open page;
the exact ones also follow from the yard and pound agreement of 1959 (1 in = 25.4 mm,
1 lb = 0.453 592 37 kg), 1 US gallon = 231 in3 and the UK Weights and Measures Act 1985
(1 gallon = 4.546 09 L), which is checked below.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from partline import units

EXACT = [
    ("length", "in", "25.4"),  # mm
    ("length", "ft", "304.8"),
    ("mass", "lb", "453.59237"),  # g
    ("mass", "oz", "28.349523125"),
    ("volume", "in3", "16387.064"),  # mm3
    ("volume", "fl oz US", "29573.5295625"),
    ("volume", "gal US", "3785411.784"),
    ("volume", "fl oz UK", "28413.0625"),
    ("volume", "gal UK", "4546090"),
    ("pressure", "atm", "101.325"),  # kPa
    ("pressure", "bar", "100"),
]

# As printed to seven digits in B.8 (E-notation there), rounded.
ROUNDED = [
    ("pressure", "psi", 6.894757),  # kPa
    ("pressure", "inHg", 3.386389),  # conventional inch of mercury
    ("pressure", "torr", 0.1333224),
    ("pressure", "mmHg", 0.1333224),
    ("density", "lb/ft3", 0.01601846),  # g/cm3
    ("density", "oz/in3", 1.729994),
    ("volume", "qt US", 946352.9),  # mm3
    ("volume", "pt US", 473176.5),
]


@pytest.mark.parametrize(("kind", "unit", "value"), EXACT)
def test_exact_factors(kind: str, unit: str, value: str) -> None:
    assert units.factor(kind, unit) == Fraction(value)


@pytest.mark.parametrize(("kind", "unit", "value"), ROUNDED)
def test_seven_digit_factors(kind: str, unit: str, value: float) -> None:
    assert float(units.factor(kind, unit)) == pytest.approx(value, rel=4e-7)


def test_exact_factors_follow_from_their_definitions() -> None:
    inch = Fraction("25.4")
    assert units.factor("volume", "gal US") == 231 * inch**3
    assert units.factor("volume", "fl oz US") == 231 * inch**3 / 128
    assert units.factor("volume", "fl oz UK") == Fraction("4546090") / 160
    pound_force = Fraction("0.45359237") * Fraction("9.80665")  # N; standard gravity
    assert units.factor("pressure", "psi") == pound_force / (inch / 1000) ** 2 / 1000


def test_temperature_scale() -> None:
    """B.8: t(C) = (t(F) - 32) / 1.8, exact."""
    assert units.celsius("212 F") == 100.0
    assert units.celsius("32 F") == 0.0
    assert units.celsius("-40 F") == -40.0


def test_us_and_uk_fluid_ounces_are_3_9_percent_apart() -> None:
    apart = 1 - units.factor("volume", "fl oz UK") / units.factor("volume", "fl oz US")
    assert float(apart) == pytest.approx(0.039, abs=5e-4)


def test_the_constants_used_on_the_way_out_are_the_same() -> None:
    assert units.factor("volume", "fl oz US") == Fraction(str(units.FL_OZ_US_MM3))
    assert units.factor("mass", "oz") == Fraction(str(units.OUNCE_G))
    assert units.factor("length", "in") == Fraction(str(units.INCH_MM))
