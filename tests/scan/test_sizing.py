from __future__ import annotations

import numpy as np
import pytest

from partline.errors import UnitError
from partline.scan.sizing import UNITS_MM, Size, extent_words, size_warnings

POINTS = np.array([[0.0, 0, 0], [1, 2, 4]])


def test_units_against_the_published_factors():
    """NIST Special Publication 811 (2008), Appendix B.8: inch 2.54 E-02 m, foot 3.048 E-01 m."""
    metres = {"in": 2.54e-2, "inch": 2.54e-2, "ft": 3.048e-1, "um": 1e-6, "mm": 1e-3, "cm": 1e-2,
              "dm": 1e-1, "m": 1.0}  # fmt: skip
    assert set(metres) == set(UNITS_MM)
    for unit, factor in metres.items():
        assert UNITS_MM[unit] / 1000 == pytest.approx(factor, rel=1e-15)


def test_each_statement_sets_the_scale():
    assert Size(height_mm=62.0).scale(POINTS) == 15.5
    assert Size(units="in").scale(POINTS) == 25.4
    assert Size(measured=((0, 0, 0), (0, 3, 4), 10.0)).scale(POINTS) == 2.0
    assert Size().scale(POINTS) == 1.0


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (Size(), "height_mm.*measured.*units: um, mm"),
        (Size(units="mm", height_mm=3.0), "stated twice: by height and units"),
        (Size(units="furlong"), "furlong.*mm, cm"),
        (Size(height_mm=0.0), "above nothing"),
        (Size(height_mm=float("nan")), "above nothing"),
        (Size(measured=((0, 0, 0), (1, 0, 0), -1.0)), "measured length"),
    ],
)
def test_statements_that_make_no_sense(size, words):
    with pytest.raises(UnitError, match=words):
        size.checked(needed=True)


def test_no_statement_is_allowed_where_none_is_needed():
    assert Size().checked(needed=False).words.startswith("no size stated")


@pytest.mark.parametrize("points", [((0, 0, 0), (0, 0, 0)), ((0, 0), (1, 1)), ("a", "b")])
def test_measured_points_must_be_two_places(points):
    with pytest.raises(UnitError, match="points"):
        Size(measured=(*points, 5.0)).scale(POINTS)


def test_no_height():
    with pytest.raises(UnitError, match="no height"):
        Size(height_mm=5.0).scale(POINTS * [1, 1, 0])


def test_words_and_warnings():
    assert extent_words(np.array([25.4, 50.8, 62.0])).startswith(
        "25.4 x 50.8 x 62.0 mm (1.00 x 2.00"
    )
    by_unit, by_height = Size(units="mm"), Size(height_mm=3.0)
    assert "only 4.9 mm across. Check the unit" in size_warnings(np.array([1, 4.9, 3]), by_unit)[0]
    assert "1.2 m across. Check the height" in size_warnings(np.array([1, 1200, 3]), by_height)[0]
    between = Size(measured=((0, 0, 0), (1, 0, 0), 2.0))
    assert "Check the two points" in size_warnings(np.array([1, 1200, 3]), between)[0]
    for extents in ([5.0, 1, 1], [1000.0, 1, 1]):
        assert not size_warnings(np.array(extents), by_unit)


def test_a_height_is_said_in_both_units():
    """5.5 in is 139.7 mm: whichever was stated is there."""
    assert Size(height_mm=139.7).words == "height 139.7 mm (5.5 in), as stated"
