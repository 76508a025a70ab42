"""Units at the edges: what parses, what is refused in words, and the way out."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline import units
from partline.errors import UnitError
from partline.unit_names import KINDS, Kind


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("62 mm", 62.0),
        ("62mm", 62.0),
        (" 6.2 cm ", 62.0),
        ("2 7/16 in", 61.9125),
        ("2-7/16 in", 61.9125),
        ("0.25 in", 6.35),
        ("0.1 in", 2.54),
        ('1/2"', 12.7),
        ("2½ in", 63.5),
        ("1 ft", 304.8),
        ("-3 mm", -3.0),
    ],
)
def test_lengths_are_read_exactly(text: str, mm: float) -> None:
    assert units.length_mm(text) == mm


@pytest.mark.parametrize("text", ["US fl oz", "fl oz US", "fl. oz. (US)", "fluid ounces US"])
def test_fluid_ounces_may_be_written_several_ways(text: str) -> None:
    assert units.volume_mm3(f"9 {text}") == 9 * 29573.5295625


@pytest.mark.parametrize("number", ["62", 62, 62.0, "2 7/16"])
def test_a_bare_number_names_the_units_it_could_have(number: object) -> None:
    with pytest.raises(UnitError, match=r'no unit.*mm".*cm".*in"'):
        units.length_mm(number)


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (units.volume_mm3, "9 fl oz", r"fl oz US.*fl oz UK"),
        (units.volume_mm3, "9 oz US", r"weight.*fl oz US.*fl oz UK"),
        (units.volume_mm3, "1 gal", r"gal US.*gal UK"),
        (units.pressure_kpa, "60 psi", r"60 psi gauge.*60 psi absolute"),
        (units.pressure_kpa, "35 inHg vacuum", "below an empty space"),
        (units.pressure_kpa, "60", "psi gauge"),
        (units.length_mm, "62 mmm", r'Did you mean "mm"'),
        (units.length_mm, "62,5 mm", "point, not a comma"),
        (units.length_mm, "9 g", "is a mass; here a length"),
        (units.length_mm, "3 1/0 in", "divides by zero"),
        (units.length_mm, "2 3 mm", "two numbers"),
        (units.length_mm, "1e999 mm", "too large"),
        (units.length_mm, "nan mm", "not a length"),
        (units.length_mm, "", "not a length"),
        (units.length_mm, True, "not a length"),
        (units.mass_g, "9 fl oz US", "is a volume"),
        (units.celsius, "-300 C", "absolute zero"),
        (units.celsius, "21", '"21 C" or "21 F"'),
        (units.minutes, "30 m", "is a length; here a time"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(read, text, words) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UnitError, match=words):
        read(text)


def test_pressure_is_absolute_and_counts_from_the_air_in_the_shop() -> None:
    assert units.pressure_kpa("60 psi absolute") == pytest.approx(413.6854, abs=1e-4)
    for text in ("4 bar gauge", "4 bar g", "4 bar(g)", "4 barg", "400 kPa gauge"):
        assert units.pressure_kpa(text) == pytest.approx(501.325, rel=1e-14)
    assert units.pressure_kpa("4 bar g", local_kpa=80.0) == 480.0
    assert units.pressure_kpa("20 kPa vacuum", local_kpa=80.0) == 60.0


def test_other_quantities() -> None:
    assert units.mass_g("297g") == 297.0
    assert units.minutes("90 s") == 1.5
    assert units.minutes("1.5 h") == 90.0
    assert units.density("1180 kg/m3") == units.density("1.18 g/cm3") == 1.18
    assert units.percent("85 %") == 85.0


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (61.9125, "2 7/16 in"),
        (25.3, "1 in"),
        (12.7, "1/2 in"),
        (0.5, "under 1/16 in"),
        (0.0, "0 in"),
        (-3.175, "-1/8 in"),
    ],
)
def test_inches_are_bench_fractions(mm: float, words: str) -> None:
    assert units.format_length(mm, "inches") == words


def test_the_way_out() -> None:
    assert units.format_length(62.0) == "62 mm"
    assert units.format_length(61.94, "both") == "61.9 mm (2 7/16 in)"
    assert units.format_length(-0.01) == "0 mm"
    assert units.format_mass(27.0) == "27.0 g"
    assert units.format_mass(297.0, "both") == "297 g (10.5 oz)"
    assert units.format_volume(0.065) == "0.1 mm³"
    assert units.format_volume(266161.8, "both") == "266 mL (9.0 fl oz US)"
    with pytest.raises(UnitError, match="system"):
        units.format_length(1.0, "feet")  # type: ignore[arg-type]


@given(st.integers(1, 200), st.integers(0, 15))
def test_a_bench_fraction_comes_back_as_itself(whole: int, part: int) -> None:
    mm = 25.4 * (whole + part / 16)
    assert units.length_mm(units.sixteenths(mm)) == pytest.approx(mm, rel=1e-14)


@given(st.floats(0.0, 5000.0))
def test_a_bench_fraction_is_within_a_thirtysecond(mm: float) -> None:
    words = units.sixteenths(mm)
    back = 0.0 if "under" in words else units.length_mm(words)
    assert abs(back - mm) <= 25.4 / 32 + 1e-9


def test_importing_units_does_not_load_the_units_library() -> None:
    code = "import sys, partline.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    "kind", [k for k in KINDS if k.name != "temperature"], ids=lambda k: k.name
)
def test_every_way_of_writing_a_unit_is_known_to_the_units_library(kind: Kind) -> None:
    for word in kind.units:
        assert units.factor(kind.name, word) > 0, word
