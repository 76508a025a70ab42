"""Minutes of clean-up against the usual figures of the trade (common practice, no source)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from cut_solids import around, bollard, standing

from partline.cut.cleanup import Effort, scrape_stretches


@pytest.mark.parametrize(
    ("detail", "edge", "low", "high"),
    [(0.0, 0.0, 0.3, 0.6), (0.5, 0.0, 0.8, 1.5), (1.0, 0.0, 2.0, 4.0), (0.0, 1.0, 0.15, 0.3)],
)
def test_ten_millimetres_take_as_long_as_is_usual(detail, edge, low, high) -> None:
    one = Effort().minutes(np.full(10, 1.0), np.full(10, detail), np.full(10, edge))
    assert low <= one <= high


def test_each_stretch_says_which_side_may_not_be_scraped() -> None:
    """Seen from behind and going up, +X is on the left."""
    piece = standing(bollard(sections=180)).piece
    left = around(piece, 30, 45, 165, 14.9)
    right = around(piece, 40, 60, 195, 14.9)
    z = np.linspace(16, 70, 120)
    y = np.interp(z - 15, np.linspace(0, 60, 90),
                  8 + 6 * np.exp(-(((np.linspace(0, 60, 90) - 42) / 9) ** 2)))  # fmt: skip
    line = np.column_stack([np.zeros_like(z), y, z])
    parts = scrape_stretches(line, piece, (left | right).astype(float))
    assert [p.textured for p in parts] == ["plain", "left", "both", "right", "plain"]
    assert parts[0].from_mm == 0
    assert parts[-1].to_mm == pytest.approx(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    for one, two in pairwise(parts):
        assert two.from_mm - one.to_mm <= 1.01 or two.from_mm == one.to_mm
    assert parts[1].low_mm == pytest.approx(30, abs=3.5)
    assert parts[3].high_mm == pytest.approx(60, abs=3.5)


def test_a_line_without_length_has_no_stretch() -> None:
    piece = bollard()
    assert scrape_stretches(np.zeros((1, 3)), piece, np.zeros(len(piece.vertices))) == ()
