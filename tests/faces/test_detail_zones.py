"""Zones of detail: the table and the picture number the same places in the same order."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.detail.detail_map import Zone
from partline.faces.detail_zones import zone_blocks
from partline.faces.scene import NUMBERED, actors
from partline.faces.sheet_blocks import Line, Table
from partline.faces.view import View
from partline.plan import Plan


def _with(count: int) -> Plan:
    plan = fake_plan()
    piece = plan.stand.piece
    # On the flank: what faces down is in no picture.
    flank = np.flatnonzero(np.abs(piece.vertex_normals[:, 2]) < 0.1)[40 * np.arange(count)]
    zones = tuple(
        Zone(np.array([v], dtype=np.int32), 100.0 - k, tuple(piece.vertices[v].tolist()), 1.25,
             0.126) for k, v in enumerate(flank)
    )  # fmt: skip
    return replace(plan, detail=replace(plan.detail, zones=zones))


def test_table_has_area_place_fineness_and_relief() -> None:
    (table,) = zone_blocks(_with(2), "mm")
    assert isinstance(table, Table)
    first = table.rows[0]
    assert first[0] == ("D1",)
    assert "mm up" in first[1][0]
    assert [cell[0].words for cell in first[2:]] == ["100 mm²", "1.2 mm", "0.13 mm"]
    assert [cell[0].tag for cell in first[2:]] == ["exact", "estimate", "estimate"]


def test_smaller_ones_are_summed_up() -> None:
    table, rest = zone_blocks(_with(NUMBERED + 2), "mm")
    assert len(table.rows) == NUMBERED
    assert isinstance(rest, Line)
    assert rest.text[0] == "And 2 smaller, together "
    assert rest.text[1].words == f"{100 - NUMBERED + 99 - NUMBERED} mm²"
    assert zone_blocks(_with(0), "mm") == ()


@pytest.mark.parametrize("shown", [True, False])
def test_picture_numbers_them_while_detail_is_shown(shown: bool) -> None:
    view = View().switched("detail", shown).switched("cut", False)
    seen = set()
    for eye in ((0.2, -1.0, 0.2), (-0.2, 1.0, 0.2)):
        seen |= {w for a in actors(_with(3), view.seen_from(eye)) for w in a.labels}
    assert ({"D1", "D2", "D3"} <= seen) == shown
