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
             0.126, 0.24) for k, v in enumerate(flank)
    )  # fmt: skip
    return replace(plan, detail=replace(plan.detail, zones=zones))


def test_table_has_area_place_fineness_and_relief() -> None:
    table, terms = zone_blocks(_with(2), "mm")
    assert isinstance(table, Table)
    first = table.rows[0]
    assert first[0] == ("D1",)
    assert "mm up" in first[1][0]
    assert [cell[0].words for cell in first[2:]] == ["100 mm²", "1.2 mm", "0.13 mm", "0.24"]
    assert [cell[0].tag for cell in first[2:]] == 4 * ["estimate"]
    heads = "".join(part for head in table.head for part in head)
    assert "(Sq)" in heads
    assert "(Sdq)" in heads
    assert "from memory" in terms.text[0]


def test_smaller_ones_are_summed_up() -> None:
    table, rest, _ = zone_blocks(_with(NUMBERED + 2), "mm")
    assert len(table.rows) == NUMBERED
    assert isinstance(rest, Line)
    assert rest.text[0] == "And 2 smaller, together "
    assert rest.text[1].words == f"{100 - NUMBERED + 99 - NUMBERED} mm²"
    assert zone_blocks(_with(0), "mm") == ()


def test_sharp_edges_are_told_with_length_and_place() -> None:
    plan = _with(0)
    piece = plan.stand.piece
    at_base = piece.vertices[:, 2] <= plan.stand.seat_mm + 1e-6
    low = piece.edges[at_base[piece.edges].all(axis=1)][:6]
    high = piece.edges[(piece.vertices[piece.edges, 2] > plan.stand.top_mm - 6).all(axis=1)][:9]
    pairs = np.vstack([low, high])
    long = np.linalg.norm(np.diff(piece.vertices[pairs], axis=1)[:, 0], axis=1)
    convex = np.ones(len(pairs), dtype=bool)
    for shown in (convex, ~convex):
        detail = replace(plan.detail, hard_edges=pairs, hard_convex=shown)
        blocks = zone_blocks(replace(plan, detail=detail), "mm")
        if not shown.any():  # inner corners hide no seam
            assert blocks == ()
            continue
        (line,) = blocks
        text = "".join(p if isinstance(p, str) else p.words for p in line.text)
        assert f"{long.sum():.1f}".rstrip("0").rstrip(".") + " mm in all" in text
        assert ("round the base" in text) == bool(len(low))
        assert "high" in text


@pytest.mark.parametrize("shown", [True, False])
def test_picture_numbers_them_while_detail_is_shown(shown: bool) -> None:
    view = View().switched("detail", shown).switched("cut", False)
    seen = set()
    for eye in ((0.2, -1.0, 0.2), (-0.2, 1.0, 0.2)):
        seen |= {w for a in actors(_with(3), view.seen_from(eye)) for w in a.labels}
    assert ({"D1", "D2", "D3"} <= seen) == shown
