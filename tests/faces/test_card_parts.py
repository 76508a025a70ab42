"""Where the pages of a card join: the parts cover a drawing, overlap, and break few words."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from partline.faces.card_parts import OVERLAP_MM, parted
from partline.faces.paper import Drawing


@pytest.mark.parametrize("size", [200.0, 250.0, 400.0, 1000.0])
def test_parts_cover_a_drawing_and_overlap(size: float) -> None:
    spans = tuple((float(x), float(x) + 30.0) for x in np.arange(-3.0, size, 41.0))
    parts = parted(Drawing("Wrap", -3.0, 0.0, size, 100.0, "", unbroken=spans), 180.0, 150.0)
    assert parts[0].left == -3.0
    assert parts[-1].left + parts[-1].width == pytest.approx(size - 3.0)
    assert all(part.width <= 180.0 + 1e-9 for part in parts)
    for one, two in pairwise(parts):
        assert one.left + one.width == pytest.approx(two.left + OVERLAP_MM)
    # As few as fit: each but the first adds the room less the overlap.
    assert len(parts) == int(np.ceil((size - OVERLAP_MM) / (180.0 - OVERLAP_MM)))


def test_a_join_keeps_off_what_should_not_be_broken() -> None:
    """Two pages of 180 mm for 270: the join may lie anywhere between 90 and 172 mm."""
    free = [part.left for part in parted(Drawing("Wrap", 0, 0, 270, 100, ""), 180.0, 150.0)]
    assert free == [0.0, 172.0]
    cut = ((110.0, 185.0),)
    kept = parted(Drawing("Wrap", 0, 0, 270, 100, "", unbroken=cut), 180.0, 150.0)
    assert kept[0].width <= 110.5
    assert kept[1].left + OVERLAP_MM <= 110.5
    nowhere = parted(Drawing("Wrap", 0, 0, 270, 100, "", unbroken=((0.0, 270.0),)), 180.0, 150.0)
    assert [part.left for part in nowhere] == [0.0, 172.0]


def test_a_tall_drawing_is_parted_downward_too() -> None:
    parts = parted(Drawing("Wrap", 5.0, -7.0, 130.0, 240.0, ""), 60.0, 50.0)
    rows = sorted({part.top for part in parts})
    assert np.allclose(np.diff(rows), 50.0 - OVERLAP_MM)
    assert parts[-1].top + parts[-1].height == pytest.approx(233.0)
    assert [part.name for part in parts[:2]] == ["A1 of 6 × 3", "A2 of 6 × 3"]
