from __future__ import annotations

import numpy as np
import pytest
import trimesh
from cut_solids import around, bollard, detail_of, turned

from partline.cut.cost import HAND_MM, Weights, concavity, price, skin_of
from partline.cut.zones import Zones
from partline.errors import JobError
from partline.geometry.paths import priced, surface_graph
from partline.geometry.surface import Surface


def skin(piece, detail, show="front", off=None, go=None):
    nowhere = np.zeros(len(piece.vertices), dtype=bool)
    zones = Zones(nowhere if off is None else off, nowhere if go is None else go, ())
    return skin_of(priced(surface_graph(piece)), detail, zones, show=show)


def test_a_groove_is_hard_to_scrape_and_a_bead_is_not() -> None:
    height = np.linspace(0, 40, 400)
    groove = turned(np.column_stack([10 - 2 * np.exp(-(((height - 20) / 2) ** 2)), height]))
    at = np.abs(groove.vertices[:, 2] - 20) < 0.3
    away = np.abs(groove.vertices[:, 2] - 8) < 2
    # At the bottom 1 / mm across, against 1 / 8 round the post: tighter than 3 mm.
    assert concavity(groove)[at].min() > 0.5
    assert concavity(groove)[away].max() == 0
    bead = turned(np.column_stack([10 + 2 * np.exp(-(((height - 20) / 2) ** 2)), height]))
    assert concavity(bead)[np.abs(bead.vertices[:, 2] - 20) < 0.3].max() == 0


def test_a_round_groove_scores_by_its_radius() -> None:
    """Inside of a ring's tube of radius 6 mm: half as bad as one of 3 mm (sum of curvatures)."""
    ring = trimesh.creation.torus(30, 6, major_sections=160, minor_sections=64)
    inside_out = Surface(ring.vertices, ring.faces[:, ::-1])
    # 1 / 6 round the tube and cos v / (30 + 6 cos v) along it.
    found = concavity(inside_out)
    x, y, _ = ring.vertices.T
    out = np.hypot(x, y)
    want = 3 * np.clip(1 / 6 + (out - 30) / 6 / out, 0, None)
    np.testing.assert_allclose(found, want, atol=0.02)
    assert concavity(Surface(ring.vertices, ring.faces)).max() == 0


def test_prices_add_up_in_plain_units() -> None:
    piece = bollard()
    weight = np.where(around(piece, 38, 46, 180, 30), 0.9, 0.0)
    hard = piece.edges[(piece.vertices[piece.edges, 2] < 1e-9).all(axis=1)]
    surface_skin = skin(piece, detail_of(piece, weight, hard))
    flat = np.zeros(len(piece.vertices))
    cost = price(surface_skin, 6.0, Weights(), flat)
    away = around(piece, 2, 15, 180, 20) & (surface_skin.concave == 0)
    far = away & (surface_skin.clear_mm > 6 + HAND_MM)
    got_to = 4 * surface_skin.shut + surface_skin.deep_mm / 10
    np.testing.assert_allclose(cost[far], 1.0 + got_to[far])
    assert got_to[far].max() > 0
    inside = np.flatnonzero(weight)
    # Nothing is nearer than detail itself, nor is a slip into it: half of all go to either side.
    assert (cost[inside] >= 1 + 8 * 0.9 + 3 + 8 / 2 - 1e-9).all()
    rim = around(piece, 0, 0.0, 180, 20)
    np.testing.assert_allclose(cost[rim], 0.5 * (1.0 + got_to[rim]))
    front = around(piece, 5, 15, 0, 5)
    assert cost[front].min() > 1 + 6 * 0.9
    inner = price(surface_skin, 6.0, Weights(), flat + 1)
    np.testing.assert_allclose((inner - cost)[far], 3.0)


def test_nearness_falls_to_nothing_where_a_hand_that_strays_keeps_the_margin() -> None:
    """Within reach of a slip its chance comes on top: the triangle's tail, (1 - c / h)^2 / 2."""
    piece = bollard()
    weight = np.where(around(piece, 30, 60, 180, 20), 1.0, 0.0)
    found = skin(piece, detail_of(piece, weight))
    plain = Weights(on_show=0, concave=0, blade=0, deep=0)
    cost = price(found, 5.0, plain, np.zeros(len(weight)))
    outside = weight == 0
    away = found.clear_mm[outside]
    want = 1 + 3 * np.clip(1 - away / (5 + HAND_MM), 0, 1)
    want += 8 * np.where(away < HAND_MM, (1 - away / HAND_MM) ** 2 / 2, 0)
    assert (away < HAND_MM).any()
    np.testing.assert_allclose(cost[outside], want)


def test_zones_shut_and_invite() -> None:
    piece = bollard()
    off, go = around(piece, 10, 20, 90, 10), around(piece, 10, 20, 180, 10)
    found = skin(piece, detail_of(piece), off=off, go=go)
    cost = price(found, 6.0, Weights(blade=0, deep=0), np.zeros(len(off)))
    assert np.isinf(cost[off]).all()
    assert np.isfinite(cost[~off]).all()
    np.testing.assert_allclose(cost[go & (found.concave == 0)], 0.25)


def test_the_detail_must_be_of_this_piece() -> None:
    piece = bollard()
    with pytest.raises(JobError, match=r"stand\.piece"):
        skin(piece, detail_of(piece, np.zeros(5)))
