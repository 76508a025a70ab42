from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from cut_solids import around, bollard, detail_of, standing, turned

from partline.cut.alternatives import SHARED, cut_rows, shared
from partline.cut.planning import plan_cut as whole_plan_cut

plan_cut = partial(whole_plan_cut, prove=False)


def test_the_share_of_a_corridor_is_measured_along_the_line() -> None:
    up = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 40.0]])
    half = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 10.0], [30.0, 0.0, 10.0]])
    assert shared([up], [up], 2.0) == 1
    assert shared([up], [half], 1e-6) == pytest.approx(0.25, abs=0.03)
    assert shared([up], [up + np.array([5.0, 0.0, 0.0])], 4.9) == 0
    assert shared([], [up], 2.0) == shared([up], [], 2.0) == 0


@pytest.mark.parametrize("cuts", ["auto", 1, 2])
def test_at_least_three_alternatives_truly_differ(cuts) -> None:
    """By count, or their corridors share less than a quarter; a band that draws all lines in."""
    stand = standing(bollard(sections=180))
    busy = ~around(stand.piece, 0, 80, 205, 12)
    cut = plan_cut(stand, detail_of(stand.piece, 0.24 * busy), cuts=cuts)
    rows = cut_rows(cut)
    assert rows[0].chosen
    assert not any(row.chosen for row in rows[1:])
    assert len(rows) >= 4
    assert len({row.count for row in rows}) == 3
    assert sum(row.count == 1 for row in rows) >= 2
    for row in rows:
        assert row.shared < SHARED
    assert [row.cost for row in rows[1:]] == sorted(row.cost for row in rows[1:])


def test_a_row_says_what_its_cut_says() -> None:
    height = np.linspace(0, 60, 90)
    stout = turned(np.column_stack([18 + 9 * np.exp(-(((height - 40) / 10) ** 2)), height]))
    stand = standing(stout)
    cut = plan_cut(stand, detail_of(stand.piece), cuts=2)
    row = cut_rows(cut)[0]
    assert row.name == "on the left and on the right"
    assert (row.count, row.length_mm, row.web_mm) == (2, cut.length_mm, cut.web_mm)
    assert row.cleanup_min == cut.cleanup_min == pytest.approx(0.045 * cut.length_mm)
    assert np.isinf(row.closest_left_mm)
    none = next(row for row in cut_rows(cut) if row.count == 0)
    assert (none.name, none.length_mm, none.share_on_show) == ("no cut", 0, 0)
