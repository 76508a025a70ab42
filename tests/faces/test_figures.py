"""Numbers as words."""

from __future__ import annotations

import math

import pytest

from partline.faces.figures import (
    ball_mm,
    bubble,
    bulk,
    count,
    gauge,
    inches,
    length,
    parted,
    plain,
    scale_decimals,
    unbroken,
    weight,
)


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (25.4, "1 in"),  # exact, NIST SP 811 App. B.8
        (61.9125, "2 7/16 in"),
        (12.7, "1/2 in"),
        (6.35, "1/4 in"),
        (304.8, "12 in"),
        (2.54, "0.1 in"),
        (25.0, "1 in"),  # nearest sixteenth
        (-12.7, "−1/2 in"),
        (0.0, "0 in"),
    ],
)
def test_inches(mm: float, words: str) -> None:
    assert inches(mm) == words


def test_length_in_each_system() -> None:
    assert length(62.0) == "62 mm"
    assert length(61.9125, "inches") == "2 7/16 in"
    assert length(61.9125, "both") == "61.9 mm (2 7/16 in)"
    assert length(123.4) == "123 mm"
    assert length(math.inf) == "no limit"


def test_weights_and_volumes() -> None:
    assert weight(74.8) == "75 g"
    assert weight(11.84) == "11.8 g"
    assert weight(27, decimals=1) == "27.0 g"
    # 9 US fl oz = 266.16 mL, NIST SP 811 App. B.8
    assert bulk(266_161.77, "both") == "266 mL (9 fl oz US)"
    assert bulk(1_200_000) == "1.2 L"


def test_pressures_are_never_rounded_up() -> None:
    # 60 psi = 413.685 kPa, NIST SP 811 App. B.8
    assert gauge(413.6854) == "4.1 bar (60 psi) on the gauge"
    assert gauge(413.0) == "4.1 bar (59 psi) on the gauge"
    assert gauge(349.0) == "3.4 bar (50 psi) on the gauge"


def test_bubbles_have_two_figures() -> None:
    assert bubble(1234.0) == "1200 mm³"
    assert bubble(0.0654) == "0.065 mm³"
    assert bubble(9.96) == "10 mm³"
    assert bubble(0.0) == "0 mm³"
    # a ball of 0.5 mm across holds pi/6 * 0.125 mm^3
    assert ball_mm(math.pi / 6 * 0.125) == pytest.approx(0.5)


def test_scale_decimals() -> None:
    assert [scale_decimals(r) for r in (1.0, 0.5, 0.1, 0.01, 5.0)] == [0, 1, 1, 2, 0]
    with pytest.raises(ValueError, match="above 0 g"):
        scale_decimals(0.0)


def test_counting_and_plain() -> None:
    assert [count(n, "place") for n in (0, 1, 2)] == ["no places", "1 place", "2 places"]
    assert plain(-0.04) == "0"
    assert plain(10.0) == "10"
    assert plain(100.0, 0) == "100"


def test_air_too_small_for_anyone_is_not_counted_out() -> None:
    assert bubble(4.4e-7) == "under 0.01 mm³"
    assert bubble(0.01) == "0.01 mm³"
    assert bubble(0.0) == "0 mm³"


def test_a_figure_and_its_brackets() -> None:
    assert parted("62 mm (2 7/16 in)") == ("62 mm", "(2 7/16 in)")
    assert parted("41°") == ("41°", "")


def test_no_line_ends_between_a_figure_and_its_unit() -> None:
    held = unbroken("hold 43.8 mm (1 3/4 in) for 9 s, 36 mL (1.2 fl oz) in all; in 2 moves")
    assert held.replace("\u00a0", "_") == (
        "hold 43.8_mm (1_3/4_in) for 9_s, 36_mL (1.2_fl oz) in all; in 2 moves"
    )
