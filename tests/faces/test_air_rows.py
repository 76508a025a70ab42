"""One numbering for drawings and tables."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.air.trapped_air import Pocket
from partline.faces.air_rows import air_table, kept_level
from partline.plan import Pour


def pocket(volume: float, vertex: int) -> Pocket:
    tops = np.array([vertex], dtype=np.int32)
    return Pocket(volume, np.array([vertex, 0.0, 0.0]), 0.0, 1.0, 5.0, True, volume, tops)


@pytest.fixture
def pour() -> Pour:
    base = fake_plan().resin_pour
    home = np.full(len(base.level.pocket_of), -1, dtype=np.int32)
    home[[3, 4]] = 0
    home[5] = 1
    level = dataclasses.replace(
        base.level, pockets=(pocket(2.0, 3), pocket(9.0, 5)), pocket_of=home
    )
    best = dataclasses.replace(base.best, pockets=(pocket(0.5, 4), pocket(0.25, 3), pocket(7.0, 8)))
    return dataclasses.replace(base, level=level, best=best)


def test_a_place_keeps_its_number_when_tipped(pour: Pour) -> None:
    rows = air_table(pour).rows
    assert [r.number for r in rows] == [1, 2, 3]
    assert [r.level_mm3 for r in rows] == [9.0, 2.0, 0.0]
    # two of the tipped ones lie in the pocket of vertices 3 and 4, the third is a new place
    assert [r.tipped_mm3 for r in rows] == [0.0, 0.75, 7.0]
    assert rows[2].apex[0] == 8.0


def test_no_air_is_lost_between_table_and_rest(pour: Pour) -> None:
    short = air_table(pour, shown=1)
    assert len(short.rows) == 1
    assert short.more == 2
    assert short.rows[0].level_mm3 + short.more_mm3 == 11.0


def test_where_nothing_is_tipped_what_is_held_level_stays() -> None:
    table = kept_level(air_table(fake_plan().resin_pour))
    assert table.rows
    assert all(r.tipped_mm3 == r.level_mm3 > 0 for r in table.rows)
