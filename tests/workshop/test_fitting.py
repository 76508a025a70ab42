"""Fitting a hull into a round or square container that may taper."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from partline.workshop.fitting import (
    Reach,
    box_fit,
    frustum_mm3,
    least_box,
    reach_of,
    round_centre,
    round_slack,
    tub_mm3,
)

CLOUDS = st.tuples(st.integers(0, 10**6), st.integers(1, 40), st.floats(0.0, 0.4))


def cloud(seed: int, count: int) -> Reach:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(count, 3)) * [20, 10, 30] + [5, -3, 60]
    return Reach(points, rng.uniform(3, 15, count))


@settings(max_examples=150, deadline=None)
@given(CLOUDS)
def test_no_place_near_or_far_is_better_than_the_best(case: tuple[int, int, float]) -> None:
    """The greatest of convex functions is convex: no better neighbour means no better place."""
    seed, count, slope = case
    reach = cloud(seed, count)
    centre, radius = round_centre(reach, slope=slope)
    slack = round_slack(reach, centre, floor_radius_mm=radius, slope=slope)
    assert slack.min() == pytest.approx(0.0, abs=1e-8)
    rng = np.random.default_rng(seed)
    for size in (1e-4, 1e-1, 30.0):
        for angle in rng.uniform(0, 2 * np.pi, 40):
            there = centre + size * np.array([np.cos(angle), np.sin(angle)])
            worse = round_slack(reach, there, floor_radius_mm=radius, slope=slope)
            assert worse.min() <= 1e-9


def test_three_corners_hold_an_equilateral_triangle() -> None:
    """Circumradius of an equilateral triangle is its side over the square root of three."""
    side = 30.0
    corners = [[0, 0, 0], [side, 0, 0], [side / 2, side * math.sqrt(3) / 2, 0]]
    centre, radius = round_centre(Reach(np.array(corners), np.full(3, 5.0)), slope=0.0)
    assert radius == pytest.approx(side / math.sqrt(3) + 5.0, rel=1e-12)
    assert centre == pytest.approx([side / 2, side / (2 * math.sqrt(3))])


def test_a_wide_angle_is_held_by_two_corners() -> None:
    corners = np.array([[0.0, 0, 0], [40, 0, 0], [20, 1, 0]])
    centre, radius = round_centre(Reach(corners, np.zeros(3)), slope=0.0)
    assert radius == pytest.approx(20.0)
    assert centre == pytest.approx([20.0, 0.0])


def test_the_wall_of_a_tapered_cup_is_measured_square_to_it() -> None:
    """A point on the axis of a 45 degree cone of floor radius 10 is 10/sqrt(2) from its wall."""
    reach = Reach(np.array([[0.0, 0.0, 0.0]]), np.array([0.0]))
    slack = round_slack(reach, (0, 0), floor_radius_mm=10.0, slope=1.0)
    assert slack[0] == pytest.approx(10 / math.sqrt(2), rel=1e-14)


def test_the_hull_stands_for_the_piece() -> None:
    points = np.random.default_rng(3).normal(size=(5000, 3)) * 20
    hull, whole = reach_of(points, 8.0), Reach(points, np.full(5000, 8.0))
    assert len(hull.points) < 300
    for slope in (0.0, 0.13):
        assert round_centre(hull, slope=slope)[1] == pytest.approx(
            round_centre(whole, slope=slope)[1], rel=1e-12
        )


def test_a_turned_rectangle_gets_a_turned_box() -> None:
    corners = np.array([[x, y, z] for x in (0, 60) for y in (0, 20) for z in (0, 10)], dtype=float)
    turn = math.radians(27.0)
    rotation = np.array([[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0],
                         [0, 0, 1]])  # fmt: skip
    fit = least_box(reach_of(corners @ rotation.T, 10.0))
    assert sorted((fit.width_mm, fit.depth_mm)) == pytest.approx([40.0, 80.0])
    assert fit.turn_deg % 90 == pytest.approx(27.0)
    assert fit.centre == pytest.approx((rotation @ [30, 10, 0])[:2])


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.integers(3, 40), st.floats(0, 20))
def test_no_turn_gives_a_lesser_box(seed: int, count: int, wall: float) -> None:
    points = np.random.default_rng(seed).normal(size=(count, 3)) * [30, 12, 20]
    reach = Reach(points, np.full(count, wall))
    best = least_box(reach)
    for turn in np.linspace(0, 90, 61):
        fit = box_fit(reach, turn_deg=float(turn))
        assert best.width_mm * best.depth_mm <= fit.width_mm * fit.depth_mm * (1 + 1e-12)


def test_volumes_against_quadrature_and_closed_forms() -> None:
    """Frustum: pi h (R^2 + R r + r^2) / 3, e.g. Bronstein's handbook; cone and cylinder as ends."""
    assert frustum_mm3(30.0, 0.0, 50.0) == pytest.approx(math.pi * 900 * 50)
    assert frustum_mm3(0.0, 0.5, 60.0) == pytest.approx(math.pi * 30**2 * 60 / 3)
    assert frustum_mm3(27.5, 0.13, 80.0) == pytest.approx(
        quad(lambda z: math.pi * (27.5 + 0.13 * z) ** 2, 0, 80)[0]
    )
    assert tub_mm3(40.0, 60.0, 0.1, 50.0) == pytest.approx(
        quad(lambda z: (40 + 0.2 * z) * (60 + 0.2 * z), 0, 50)[0]
    )


def test_a_party_cup_holds_what_it_is_known_to_hold() -> None:
    """92 mm rim, 60 mm floor, 120 mm tall: about 552 mL brimful (from memory, a common cup)."""
    assert frustum_mm3(30.0, 16 / 120, 120.0) / 1000 == pytest.approx(552, abs=1)
