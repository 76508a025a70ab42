"""Vents: fewest, exact, straight, off the detail."""

from __future__ import annotations

from itertools import combinations

import boxes
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from serpentine import serpentine

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.venting import plan_vents
from partline.errors import CavityError

DOWN = (0.0, 0.0, -1.0)
SQUARE = np.array([[-40.0, -40.0], [80.0, -40.0], [80.0, 40.0], [-40.0, 40.0]])
# Fingers that stand up from a room when the mould is turned over: x, lowest z (the higher the
# finger's top in the pour), and width; the room's ceiling is at z = 12, the mouth at z = 0.
FINGERS = ((4.0, 6.0, 3.0), (12.0, 3.0, 3.0), (20.0, 8.0, 2.0))


def comb(*fingers: tuple[float, float, float], bridge: float | None = None) -> Cavity:
    """Return a room with fingers up toward the mouth face and a chimney that is the mouth.

    `bridge` joins the first two fingers from that height down to the room.
    """
    body = boxes.block((0, 0, 12), (30, 6, 20)) + boxes.block((26, 0, 0), (30, 6, 12))
    for x, low, wide in fingers:
        body = body + boxes.block((x, 1, low), (x + wide, 5, 12))
    if bridge is not None:
        (a, _, _), (b, _, wide) = fingers[:2]
        body = body + boxes.block((a, 1, bridge), (b + wide, 5, 12))
    surface = boxes.surface_of(body.refine_to_length(1.0))
    return Cavity(surface, boxes.at(surface, z=0.0))


def hand_counted() -> list[float]:
    # Finger by finger: width x depth 4 x height above the room's ceiling.
    return [w * 4.0 * (12.0 - low) for _, low, w in FINGERS]


def test_each_finger_is_vented_and_the_rest_is_exact() -> None:
    cavity = comb(*FINGERS)
    volumes = hand_counted()
    assert trapped_air(cavity, DOWN).volume_mm3 == pytest.approx(sum(volumes), rel=1e-12)
    plan = plan_vents(cavity, SQUARE, largest_mm3=1.0)
    assert plan.before_mm3 == pytest.approx(sum(volumes))
    assert sorted(v.saves_mm3 for v in plan.vents) == pytest.approx(sorted(volumes))
    assert plan.after_mm3 == pytest.approx(0.0, abs=1e-9)
    assert plan.fewest
    assert plan.reached
    assert plan.unvented == ()
    saves = [v.saves_mm3 for v in plan.vents]
    assert saves == sorted(saves, reverse=True)
    for vent in plan.vents:
        # The tops are flat, so the end lies in one, and the way is upright to z = 0.
        assert vent.lean_deg == 0.0
        assert vent.length_mm == pytest.approx(vent.place[2])
        assert vent.exit[2] == pytest.approx(0.0, abs=1e-12)
        x, low, w = next(f for f in FINGERS if f[0] <= vent.place[0] <= f[0] + f[2])
        assert vent.place[2] == low
        assert vent.place[0] == pytest.approx(x + w / 2, abs=0.5)


@pytest.mark.parametrize("bridge", [None, 9.0])
@pytest.mark.parametrize("largest", [5.0, 40.0, 70.0, 90.0, 150.0, 190.0])
def test_no_set_with_fewer_vents_does_as_much(largest: float, bridge: float | None) -> None:
    """Every set of tops tried one by one, the air followed anew for each."""
    cavity = comb(*FINGERS, bridge=bridge)
    tops = [
        int(np.flatnonzero(
            (cavity.surface.vertices[:, 2] == low)
            & (cavity.surface.vertices[:, 0] >= x) & (cavity.surface.vertices[:, 0] <= x + w)
        )[0])
        for x, low, w in FINGERS
    ]  # fmt: skip

    def left(some: tuple[int, ...]) -> float:
        return trapped_air(cavity.with_outlets(list(some)), DOWN).volume_mm3 if some else (
            trapped_air(cavity, DOWN).volume_mm3
        )  # fmt: skip

    need = next(
        n for n in range(len(tops) + 1)
        if min(left(s) for s in combinations(tops, n)) <= largest
    )  # fmt: skip
    plan = plan_vents(cavity, SQUARE, largest_mm3=largest)
    assert len(plan.vents) == need
    assert plan.after_mm3 <= largest
    assert left(tuple(v.vertex for v in plan.vents)) == pytest.approx(plan.after_mm3, abs=1e-9)


@settings(max_examples=12, deadline=None)
@given(
    lows=st.lists(st.integers(2, 9), min_size=4, max_size=4),
    bridges=st.lists(st.integers(3, 13), min_size=3, max_size=3),
    share=st.floats(0.02, 0.9),
)
def test_fewest_on_random_trees(lows: list[int], bridges: list[int], share: float) -> None:
    """Four fingers, neighbours joined at random heights: every set of their tops is tried."""
    body = boxes.block((0, 0, 14), (30, 6, 20)) + boxes.block((26, 0, 0), (30, 6, 14))
    for i, low in enumerate(lows):
        body = body + boxes.block((1 + 6 * i, 1, low), (4 + 6 * i, 5, 14))
    for i, high in enumerate(bridges):
        top = max(high, *lows[i : i + 2])
        if top < 14:
            body = body + boxes.block((1 + 6 * i, 1, top), (10 + 6 * i, 5, 14))
    surface = boxes.surface_of(body.refine_to_length(1.5))
    cavity = Cavity(surface, boxes.at(surface, z=0.0))
    x, _, z = surface.vertices.T
    tops = [
        int(np.flatnonzero((x >= 1 + 6 * i) & (x <= 4 + 6 * i) & (z == low))[0])
        for i, low in enumerate(lows)
    ]
    least = {0: trapped_air(cavity, DOWN).volume_mm3}
    for n in range(1, 5):
        least[n] = min(
            trapped_air(cavity.with_outlets(list(some)), DOWN).volume_mm3
            for some in combinations(tops, n)
        )
    largest = share * least[0] + 0.5
    plan = plan_vents(cavity, SQUARE, largest_mm3=largest, diameter_mm=0.5)
    assert len(plan.vents) == next(n for n in range(5) if least[n] <= largest + 1e-9)


def test_a_vent_keeps_off_detail_but_stays_in_the_top() -> None:
    cavity = comb((4.0, 6.0, 8.0))
    place = cavity.surface.vertices
    detail = np.where(place[:, 0] < 10.0, 1.0, 0.1)
    (vent,) = plan_vents(cavity, SQUARE, weights=detail, largest_mm3=1.0).vents
    assert vent.detail == pytest.approx(0.1)
    assert vent.place[0] >= 11.0
    assert vent.place[2] == 6.0


def test_it_leans_round_what_is_in_the_way_and_says_when_it_cannot() -> None:
    # A bar of the piece itself lies over the finger, narrow: a vent leans past it. A wide one
    # leaves no way. Either is joined to the chimney, so that it is part of the one cavity.
    for wide, ways in ((3.0, 1), (60.0, 0)):
        bar = boxes.block((-30, 3 - wide / 2, 1), (28, 3 + wide / 2, 2))
        body = boxes.block((0, 0, 22), (30, 6, 30)) + boxes.block((26, 0, 0), (30, 6, 22)) + bar
        body = body + boxes.block((10, 1, 16), (13, 5, 22))
        surface = boxes.surface_of(body.refine_to_length(1.0))
        cavity = Cavity(surface, boxes.at(surface, z=0.0))
        plan = plan_vents(cavity, SQUARE, largest_mm3=1.0, diameter_mm=1.0)
        inside = [v for v in plan.vents if v.place[2] > 10]
        assert len(inside) == ways
        if ways:
            assert inside[0].lean_deg > 0
            assert inside[0].length_mm == pytest.approx(
                inside[0].place[2] / np.cos(np.radians(inside[0].lean_deg))
            )
        else:
            (kept,) = [u for u in plan.unvented if u.apex[2] > 10]
            assert "no straight way" in kept.why
            assert kept.volume_mm3 == pytest.approx(72.0)


def test_only_what_is_left_counts() -> None:
    cavity = comb(*FINGERS)
    pockets = trapped_air(cavity, DOWN).pockets
    plan = plan_vents(cavity, SQUARE, air_in=[0.0, pockets[1].volume_mm3, 4.0], largest_mm3=1.0)
    assert [v.pocket for v in plan.vents] == [1]
    assert plan.after_mm3 == pytest.approx(4.0)
    (small,) = plan.unvented
    assert (small.pocket, small.volume_mm3) == (2, 4.0)
    assert "as wide as the vent" in small.why
    assert not plan.reached
    assert any("still more than may" in w for w in plan.words)


def test_nothing_to_vent_is_said() -> None:
    cavity = comb(*FINGERS)
    none = plan_vents(cavity, SQUARE, air_in=[0.0, 0.0, 0.0])
    assert none.vents == ()
    assert "No air" in none.words[0]
    little = plan_vents(cavity, SQUARE, air_in=[3.0, 0.0, 0.0])
    assert "no vent is needed" in little.words[0]


def test_a_body_without_outlet_is_said_and_not_vented() -> None:
    both = boxes.joined(
        comb(FINGERS[0]).surface, boxes.surface_of(boxes.block((-9, 0, 5), (-6, 4, 10)))
    )
    plan = plan_vents(Cavity(both, boxes.at(both, z=0.0)), SQUARE, largest_mm3=1.0)
    assert len(plan.vents) == 1
    (closed,) = plan.unvented
    assert closed.volume_mm3 == pytest.approx(60.0)
    assert "no way to the mouth" in closed.why


@settings(max_examples=40, deadline=None)
@given(k=st.integers(1, 3), picks=st.lists(st.integers(0, 10**6), min_size=1, max_size=4),
       lean=st.tuples(st.floats(-1, 1), st.floats(-1, 1)))  # fmt: skip
def test_an_added_outlet_never_adds_air(
    k: int, picks: list[int], lean: tuple[float, float]
) -> None:
    cavity = CAVITIES[k]
    up = (lean[0], lean[1], -1.0)
    before = trapped_air(cavity, up).volume_mm3
    opened: list[int] = []
    for pick in picks:
        opened.append(pick % len(cavity.surface.vertices))
        vented = cavity.with_outlets(opened)
        after = trapped_air(vented, up).volume_mm3
        assert after <= before + 1e-9
        afresh = Cavity(cavity.surface, np.union1d(cavity.outlets, opened))
        assert trapped_air(afresh, up).volume_mm3 == pytest.approx(after, abs=1e-9)
        before = after


CAVITIES = {k: serpentine(k) for k in (1, 2, 3)}


@settings(max_examples=15, deadline=None)
@given(fill=st.lists(st.floats(0, 1), min_size=3, max_size=3), largest=st.floats(0.5, 200))
def test_vents_never_add_air_and_saves_add_up(fill: list[float], largest: float) -> None:
    cavity = comb(*FINGERS)
    pockets = trapped_air(cavity, DOWN).pockets
    air = [f * p.volume_mm3 for f, p in zip(fill, pockets, strict=True)]
    plan = plan_vents(cavity, SQUARE, air_in=air, largest_mm3=largest)
    assert all(v.saves_mm3 >= -1e-9 for v in plan.vents)
    assert plan.before_mm3 - sum(v.saves_mm3 for v in plan.vents) == pytest.approx(plan.after_mm3)
    assert all(0 <= left <= a + 1e-9 for left, a in zip(plan.left_in, air, strict=True))


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"diameter_mm": -2.0}, "diameter is -2 mm"),
        ({"diameter_mm": float("nan")}, "diameter"),
        ({"largest_mm3": 0.0}, "may stay is 0 mm³"),
        ({"air_in": [1.0]}, "1 pockets; the upright mould has 3"),
        ({"weights": np.zeros(7)}, "Detail is given"),
    ],
)
def test_bad_vents_say_why(asked: dict, words: str) -> None:
    with pytest.raises(CavityError, match=words):
        plan_vents(comb(*FINGERS), SQUARE, **asked)


@pytest.mark.parametrize("outline", [np.zeros((2, 2)), SQUARE[::-1], np.zeros((4, 3))])
def test_a_wrong_outline_is_refused(outline: np.ndarray) -> None:
    with pytest.raises(CavityError, match="outline must be"):
        plan_vents(comb(*FINGERS), outline)


def test_a_vent_off_the_surface_is_refused() -> None:
    cavity = comb(*FINGERS)
    n = len(cavity.surface.vertices)
    with pytest.raises(CavityError, match=f"Outlet vertex {n} is not on the surface"):
        cavity.with_outlets([n])
    with pytest.raises(CavityError, match="Outlet vertex -1"):
        cavity.with_outlets([-1])
