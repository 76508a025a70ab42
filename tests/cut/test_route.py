from __future__ import annotations

import numpy as np
import pytest
from cut_solids import around, bollard, detail_of, standing

from partline.cut.cost import Weights, skin_of
from partline.cut.demould import demould
from partline.cut.layout import corridor, outside_of
from partline.cut.route import draw_route, find_ground, proved
from partline.cut.zones import Zones
from partline.errors import NoPath
from partline.geometry.paths import priced, surface_graph


def ground_of(weight=None, off=None, margin_mm=4.0, name="back"):
    stand = standing(bollard(sections=144))
    n = len(stand.piece.vertices)
    nowhere = np.zeros(n, dtype=bool)
    shape = stand.piece
    plain = priced(surface_graph(shape), np.where(outside_of(stand), 1.0, np.inf))
    zones = Zones(nowhere if off is None else off(shape), nowhere, ())
    detail = detail_of(shape, None if weight is None else weight(shape))
    skin = skin_of(plain, detail, zones, show="front")
    way = corridor(stand, demould(shape, stand.seat_mm), name, 55.0)
    ground = find_ground(plain, skin, Weights(), way, margin_mm=margin_mm)
    return plain, skin, ground


def test_the_certificate_is_the_worst_that_every_line_crosses() -> None:
    """A wall of detail all round, lower in one place: the pass is that place."""

    def weight(piece):
        wall = np.where(around(piece, 25, 28, 0, 180), 0.9, 0.0)
        return np.where(around(piece, 25, 28, 200, 8), 0.4, wall)

    plain, skin, ground = ground_of(weight)
    assert ground.worst_needed == pytest.approx(0.4)
    route = draw_route(plain, skin, ground)
    crossed = route.path.sample(skin.detail)
    assert crossed.max() <= ground.limit <= 0.4 + 0.05
    there = route.path.points[crossed > 0.3]
    assert len(there)
    bearing = np.degrees(np.arctan2(there[:, 0], -there[:, 1])) % 360
    assert (np.abs(bearing - 200) < 9).all()


def test_a_patch_that_can_be_gone_round_is_not_excused() -> None:
    plain, skin, ground = ground_of(lambda p: np.where(around(p, 25, 40, 170, 15), 1.0, 0.0))
    assert not ground.excused.any()
    assert ground.margin_mm == 4.0
    route = draw_route(plain, skin, ground)
    assert route.path.sample(skin.clear_mm).min() >= 4.0 * (1 - 0.05)
    assert ground.worst_needed == 0


def test_a_bead_all_round_is_excused() -> None:
    _, _, ground = ground_of(lambda p: np.where(around(p, 25, 28, 0, 180), 0.7, 0.0))
    assert ground.excused.any()
    assert ground.margin_mm == 4.0
    assert ground.worst_needed == pytest.approx(0.7)


def test_the_line_found_is_no_dearer_than_a_plain_line_straight_up() -> None:
    plain, skin, ground = ground_of()
    route = draw_route(plain, skin, ground)
    assert route.path.cost >= route.path.length_mm * 0.99  # plain skin, no hard edges
    up = np.flatnonzero(around(plain.graph.surface, 15, 56, 180, 0.5))
    points = plain.graph.surface.vertices[up[np.argsort(plain.graph.surface.vertices[up, 2])]]
    straight = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    assert route.path.length_mm <= straight * 1.01
    assert route.gap == 1.0  # nothing is proved yet
    assert 0 <= proved(plain, route).gap < 0.02


def test_stay_off_that_shuts_the_way_is_named() -> None:
    with pytest.raises(NoPath, match="the line up the back"):
        ground_of(off=lambda p: around(p, 25, 28, 0, 180))
