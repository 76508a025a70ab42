"""Directions in a hand's words and cones of them."""

from __future__ import annotations

import numpy as np
import pytest

from partline.geometry.directions import (
    angle_between,
    azimuth_of,
    cell_centres,
    cone_cells,
    level_up,
    octahedron_cells,
    side,
    split_cells,
    tip_of,
    tipped_up,
    turn_between,
    unit,
)


def solid_angles(cells: np.ndarray) -> np.ndarray:
    # van Oosterom and Strackee (1983), The solid angle of a plane triangle.
    a, b, c = (cells[:, k] for k in range(3))
    dots = 1 + sum(np.einsum("ij,ij->i", p, q) for p, q in ((a, b), (b, c), (c, a)))
    return 2 * np.arctan2(np.abs(np.einsum("ij,ij->i", a, np.cross(b, c))), dots)


@pytest.mark.parametrize("pour", ["rubber", "resin"])
def test_there_and_back(pour: str) -> None:
    for azimuth in (0.0, 37.0, 90.0, 180.0, 271.5):
        assert azimuth_of(side(azimuth, pour), pour) == pytest.approx(azimuth)
        for tilt in (0.001, 5.0, 60.0, 120.0):
            up = tipped_up(azimuth, tilt, pour)
            assert tip_of(up, pour) == pytest.approx((azimuth, tilt))
    assert tip_of(level_up(pour), pour) == (0.0, 0.0)


@pytest.mark.parametrize("pour", ["rubber", "resin"])
def test_the_named_side_goes_down_and_clockwise_is_clockwise(pour: str) -> None:
    up = tipped_up(30.0, 10.0, pour)
    assert side(30.0, pour) @ up < 0 < side(210.0, pour) @ up
    # Seen from above the block, from the front mark a quarter clockwise: down x front.
    down = -level_up(pour)
    assert side(90.0, pour) == pytest.approx(np.cross(down, side(0.0, pour)))


def test_turn_between_takes_one_to_the_other() -> None:
    rng = np.random.default_rng(0)
    pairs = rng.normal(size=(50, 2, 3))
    pairs[0] = [[0, 0, 1], [0, 0, 1]]
    pairs[1] = [[0, 0, 1], [0, 0, -1]]
    pairs[2] = [[1, 0, 0], [-1, 1e-9, 0]]
    for a, b in pairs:
        turn = turn_between(a, b)
        assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(turn) == pytest.approx(1.0)
        assert turn @ unit(a) == pytest.approx(unit(b), abs=1e-8)


def test_cells_cover_the_sphere_once() -> None:
    for levels in range(4):
        cells = octahedron_cells(levels)
        assert len(cells) == 8 * 4**levels
        assert solid_angles(cells).sum() == pytest.approx(4 * np.pi, rel=1e-12)
    assert solid_angles(split_cells(cells)).sum() == pytest.approx(4 * np.pi, rel=1e-12)


@pytest.mark.parametrize(("within", "levels"), [(3.0, 1), (25.0, 3), (60.0, 4), (180.0, 2)])
def test_every_direction_of_a_cone_is_within_reach_of_a_cell(within: float, levels: int) -> None:
    about = unit([0.3, -0.5, -0.8])
    cells, centres, radii = cone_cells(about, within, levels)
    assert (angle_between(centres, about) <= np.radians(within) + 1e-12).all()
    rng = np.random.default_rng(3)
    some = rng.normal(size=(20000, 3))
    some /= np.linalg.norm(some, axis=1, keepdims=True)
    some = some[angle_between(some, about) <= np.radians(within)]
    assert (angle_between(some[:, None], centres).min(axis=1) <= radii.max()).all()
    # Each cell's own directions of the cone lie within its own radius of its centre.
    share = rng.dirichlet([0.5, 0.5, 0.5], 200)
    for cell, centre, radius in zip(cells, centres, radii, strict=True):
        inside = share @ cell
        inside /= np.linalg.norm(inside, axis=1, keepdims=True)
        assert (angle_between(inside, centre) <= radius + 1e-12).all()
    same, reach = cell_centres(cells, about, within)
    assert (same == centres).all()
    assert (reach == radii).all()


def test_unit_refuses_what_has_no_direction() -> None:
    for wrong in ([0, 0, 0], [np.nan, 0, 1], [1, 2], [np.inf, 0, 0]):
        with pytest.raises(ValueError, match="direction"):
            unit(wrong)
