"""Degassing: the cup, the reading at altitude, and the chamber's rating."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.degassing import degassing_of
from partline.workshop.materials import defaults

KNOWN = defaults()


def test_what_the_gauge_reads_where_the_shop_stands() -> None:
    """Full vacuum reads 29.92 inHg at 0 m and 25.0 at 1500 m (standard atmosphere); 5 kPa less."""
    for metres, most in ((0.0, 29.92), (1500.0, 25.0)):
        found = degassing_of(250e3, chamber=True, rating_kpa=0.0, altitude_m=metres, known=KNOWN)
        assert found.gauge_inhg == pytest.approx(most - 5.0 / 3.386389, abs=0.06)
        assert found.here_kpa - found.gauge_kpa == pytest.approx(5.0)
        assert f"{found.gauge_inhg:.1f} inHg" in " ".join(found.words)
    assert found.cup_mm3 == 1e6
    assert found.swell == pytest.approx(found.here_kpa / 5.0)  # Boyle


def test_nothing_is_assumed_of_a_chamber() -> None:
    asked = degassing_of(1e5, chamber=True, rating_kpa=None, altitude_m=0.0, known=KNOWN)
    assert asked.gauge_kpa is None
    assert "vacuum_chamber_rating" in " ".join(asked.words)
    without = degassing_of(1e5, chamber=False, rating_kpa=None, altitude_m=0.0, known=KNOWN)
    assert without.gauge_inhg is None
    assert "thin stream" in without.words[0]


def test_beyond_the_rating_is_refused() -> None:
    with pytest.raises(WorkshopError, match=r"vacuum_chamber_rating.*20 kPa"):
        degassing_of(1e5, chamber=True, rating_kpa=20.0, altitude_m=0.0, known=KNOWN)
    assert degassing_of(1e5, chamber=True, rating_kpa=5.0, altitude_m=0.0,
                        known=KNOWN).gauge_kpa == pytest.approx(96.325)  # fmt: skip
