"""Narrow joins between bodies of air."""

from __future__ import annotations

import boxes
import numpy as np
import pytest

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air

LEFT = boxes.block((0, 0, 0), (10, 10, 10))
RIGHT = boxes.block((12, 0, 0), (22, 10, 10))
SLOT = boxes.block((10, 4, 8), (12, 5, 9))
WINDOW = boxes.block((10, 1, 1), (12, 9, 6))


def two_rooms(*ways: object) -> Cavity:
    """Return two rooms joined by the ways given; the right one's ceiling lets air out."""
    body = LEFT + RIGHT
    for way in ways:
        body = body + way
    room = boxes.surface_of(body.refine_to_length(0.6))
    return Cavity(room, np.intersect1d(boxes.at(room, z=10.0), boxes.at(room, x=22.0)))


def test_a_narrow_slot_is_measured_and_shut() -> None:
    air = trapped_air(two_rooms(SLOT), (0, 0, 1))
    # By gravity the left room's air leaves over the slot's ceiling, z = 9.
    assert air.volume_mm3 == pytest.approx(100.0, rel=1e-9)
    (pocket,) = air.pockets
    assert pocket.neck_mm == pytest.approx(1.0, abs=0.25)
    assert not pocket.wide_enough
    # With the slot shut nothing leaves the left room.
    assert air.narrow_volume_mm3 == pytest.approx(1000.0, abs=3.0)


def test_with_the_slot_shut_air_leaves_through_the_window_below() -> None:
    air = trapped_air(two_rooms(SLOT, WINDOW), (0, 0, 1))
    assert air.volume_mm3 == pytest.approx(100.0, rel=1e-9)
    assert not air.pockets[0].wide_enough
    # The same two rooms meet again round the window's ceiling, z = 6; the slot holds 2 mm³.
    assert 400.0 <= air.narrow_volume_mm3 <= 402.0


def test_a_narrow_window_below_a_narrow_slot_is_shut_too() -> None:
    crack = boxes.block((10, 4, 1), (12, 5.5, 6))
    air = trapped_air(two_rooms(SLOT, crack), (0, 0, 1))
    assert air.volume_mm3 == pytest.approx(100.0, rel=1e-9)
    # All of the left room; of the slot and the crack, which hold 17 mm³, what is labelled with it.
    assert 1000.0 <= air.narrow_volume_mm3 <= 1017.0


def test_narrow_ways_shut_never_hold_less() -> None:
    cavity = two_rooms(SLOT, WINDOW)
    up = (0.1, 0.05, 1)
    gravity = trapped_air(cavity, up).volume_mm3
    for narrow in (0.0, 0.5):  # nothing is so narrow
        air = trapped_air(cavity, up, narrow_mm=narrow)
        assert air.narrow_volume_mm3 == pytest.approx(gravity, rel=1e-9)
    for narrow in (2.0, 3.0):
        assert trapped_air(cavity, up, narrow_mm=narrow).narrow_volume_mm3 > gravity


def test_narrow_ways_do_not_hang_on_the_directions_asked_before() -> None:
    cavity = two_rooms(SLOT, boxes.block((10, 4, 1), (12, 5.5, 6)))
    up, found = np.array([0.1, 0.05, 1.0]), set()
    for shift in np.random.default_rng(7).normal(size=(12, 3)):
        found.add(trapped_air(cavity, up).narrow_volume_mm3)
        trapped_air(cavity, up + 0.3 * shift)
    assert len(found) == 1


def test_a_wide_way_is_wide_enough() -> None:
    air = trapped_air(two_rooms(WINDOW), (0, 0, 1))
    (pocket,) = air.pockets
    assert air.volume_mm3 == pytest.approx(400.0, rel=1e-9)
    assert pocket.neck_mm == pytest.approx(5.0, abs=1.0)
    assert pocket.wide_enough
    assert air.narrow_volume_mm3 == pytest.approx(air.volume_mm3)


def test_the_user_may_call_a_wider_way_narrow() -> None:
    cavity = two_rooms(WINDOW)
    assert not trapped_air(cavity, (0, 0, 1), narrow_mm=8.0).pockets[0].wide_enough
    slot = two_rooms(SLOT)
    assert trapped_air(slot, (0, 0, 1), narrow_mm=0.4).pockets[0].wide_enough


def test_the_mouth_of_a_box_is_as_wide_as_its_depth() -> None:
    room = boxes.surface_of(LEFT.refine_to_length(0.6))
    (pocket,) = trapped_air(Cavity(room, boxes.at(room, z=0.0)), (0, 0, 1)).pockets
    assert pocket.neck_mm > 3.0
    assert pocket.wide_enough
