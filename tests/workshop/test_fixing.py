"""Fixing the master down."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.fixing import fix_down
from partline.workshop.materials import defaults

KNOWN = defaults()


def test_a_hollow_print_is_held_three_times_over() -> None:
    """200 mL at 0.3 g/cm3 in rubber of 1.15 pulls as 170 g weigh, 1.7 N (Archimedes)."""
    found = fix_down(200e3, 1.15, 0.3, KNOWN)
    assert found.force_n == pytest.approx(0.170 * 9.80665)
    assert found.hold_g == pytest.approx(3 * 170.0)
    assert "1.7 N" in found.words[0]
    assert "510 g" in found.words[0]


def test_an_unknown_master_counts_as_an_empty_shell() -> None:
    found = fix_down(100e3, 1.2, None, KNOWN)
    assert found.hold_g == pytest.approx(3 * 120.0)
    assert any("master_density" in w for w in found.words)
    assert all(fix_down(100e3, 1.2, d, KNOWN).force_n < found.force_n for d in (0.1, 0.9, 1.1))


def test_a_heavy_master_stays_down() -> None:
    found = fix_down(100e3, 1.2, 8.0, KNOWN)
    assert found.hold_g == 0.0
    assert "heavier" in found.words[0]
    assert any("wax" in w for w in found.words)


def test_what_cannot_be() -> None:
    with pytest.raises(WorkshopError, match="master_density"):
        fix_down(1e5, 1.2, -1.0, KNOWN)
