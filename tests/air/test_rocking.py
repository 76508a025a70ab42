"""Case T8: a serpentine of k + 1 runs needs exactly k tilts in turn (derived by hand)."""

from __future__ import annotations

import weakref
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
from serpentine import serpentine

from partline.air import rocking
from partline.air.cavity import Cavity
from partline.air.holding import Holding
from partline.air.pockets import trapped_air
from partline.air.rocking import plan_rocking
from partline.air.turning import Held, angles, at_mouth, carried, let_go, pose, poses
from partline.errors import CavityError
from partline.geometry.directions import tipped_up
from partline.geometry.volume import volume

DOWN = np.array([0.0, 0.0, -1.0])


def only_first_run(cavity: Cavity) -> list[float]:
    """Air in the run farthest from the mouth, none in the others."""
    pockets = trapped_air(cavity, DOWN).pockets
    far = max(range(len(pockets)), key=lambda i: pockets[i].apex[2])
    return [p.volume_mm3 if i == far else 0.0 for i, p in enumerate(pockets)]


@pytest.mark.parametrize("k", [1, 2, 3, 4, 5, 6])
def test_a_serpentine_needs_exactly_k_moves(k: int) -> None:
    cavity = serpentine(k)
    air = only_first_run(cavity)
    plan = plan_rocking(cavity, air_in=air, max_tilt_deg=30, max_moves=k + 1)
    assert len(plan.moves) == k
    assert plan.fewest
    assert plan.before_mm3 == pytest.approx(sum(air))
    assert plan.after_mm3 == pytest.approx(0.0, abs=1e-6)
    # In turn to either side, each by more than the slope of 5 degrees; the high end is at -x, and
    # the side that must go down first is +x turned over: azimuth 90 is +x in the resin pour.
    sides = [np.sign(np.sin(np.radians(m.azimuth_deg))) for m in plan.moves]
    assert all(a == -b for a, b in pairwise(sides))
    assert all(m.tilt_deg > 5.0 for m in plan.moves)


@pytest.mark.parametrize("k", [2, 3])
def test_one_move_fewer_never_empties_it(k: int) -> None:
    cavity = serpentine(k)
    plan = plan_rocking(cavity, air_in=only_first_run(cavity), max_tilt_deg=30, max_moves=k - 1)
    assert plan.after_mm3 == pytest.approx(plan.before_mm3)


def test_poses_of_one_side_are_let_go_before_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    # On millions of triangles a pose takes tens of megabytes, and there are two hundred.
    made: list[weakref.ref[Holding]] = []
    most = 0

    def watched(*args: Any, **options: Any) -> list[Holding]:
        nonlocal most
        found = poses(*args, **options)
        made.extend(weakref.ref(at) for at in found)
        most = max(most, sum(at() is not None for at in made))
        return found

    monkeypatch.setattr(rocking, "poses", watched)
    cavity = serpentine(1)
    plan_rocking(cavity, air_in=only_first_run(cavity), max_tilt_deg=30)
    assert len(made) > 16 * 6
    assert most == 6  # of 30 degrees in steps of 5


def test_a_pose_keeps_no_more_than_heights_and_labels() -> None:
    at = pose(serpentine(1), DOWN, capped=True)
    vertices, tops = len(at.work.heights), len(at.work.tops)
    assert sum(array.nbytes for array in at.work) == 12 * vertices + 4 * tops
    assert tops == at.count


@pytest.mark.parametrize("k", [1, 2])
def test_begun_on_the_wrong_side_it_takes_one_move_more(k: int) -> None:
    cavity = serpentine(k)
    level = pose(cavity, DOWN, capped=True)
    pockets = trapped_air(cavity, DOWN).pockets
    far = max(pockets, key=lambda p: p.apex[2])
    held = let_go(level, [(int(far.tops[0]), far.volume_mm3)])
    turns = 0
    while at_mouth(level, held)[0] < 0.5 * far.volume_mm3:
        side = 90.0 if turns % 2 == 0 else 270.0
        out = [pose(cavity, tipped_up(side, t, "resin"), capped=True) for t in angles(20, 5)]
        held = carried([level, *out, *out[-2::-1], level], held)
        turns += 1
        assert turns <= k + 1
    assert turns == k + 1


def test_fewest_equals_an_exhaustive_search() -> None:
    """All sequences of the listed moves tried one by one, by a loop that shares no search."""
    cavity = serpentine(2)
    level = pose(cavity, DOWN, capped=True)
    pockets = trapped_air(cavity, DOWN).pockets
    start = let_go(level, [(int(p.tops[0]), p.volume_mm3) for p in pockets])
    ways = [(a, 20.0) for a in (0.0, 90.0, 180.0, 270.0)]

    def left_after(moves: tuple[tuple[float, float], ...]) -> float:
        held = start
        for azimuth, tilt in moves:
            out = [pose(cavity, tipped_up(azimuth, t, "resin"), capped=True)
                   for t in angles(tilt, 5)]  # fmt: skip
            held = carried([level, *out, *out[-2::-1], level], held)
        return sum(at_mouth(level, held)[1].values())

    least = {n: min(left_after(m) for m in product(ways, repeat=n)) for n in (1, 2)}
    assert least[1] > 1.0
    assert least[2] == pytest.approx(0.0, abs=1e-6)
    assert len(plan_rocking(cavity, max_tilt_deg=20, max_moves=3).moves) == 2


def test_air_comes_back_when_the_mould_is_not_set_upright() -> None:
    cavity = serpentine(1)
    level = pose(cavity, DOWN, capped=True)
    mouth = int(cavity.outlets[0])
    head_space = 300.0
    held = let_go(level, [(mouth, head_space)])
    assert at_mouth(level, held)[0] == pytest.approx(head_space)
    assert tops_above_mouth(level, held) == pytest.approx([0.0])
    over = [pose(cavity, tipped_up(90.0, t, "resin"), capped=True) for t in angles(170, 5)]
    turned = carried([level, *over], held)
    assert min(tops_above_mouth(over[-1], turned)) > 15.0
    assert turned.total_mm3 == pytest.approx(head_space)


def tops_above_mouth(at: Holding, held: Held) -> list[float]:
    """How far under the mouth face, in the pose of the resin pour, each bubble has its top [mm]."""
    heights, tops, z = at.work.heights, at.work.tops, at.fans.vertices[:, 2]
    found = []
    for node in held.bubbles:
        own = tops[at.leaves(node)]
        found.append(float(z[own[np.argmax(heights[own])]] - z.min()))
    return found


@pytest.mark.parametrize("capped", [True, False])
@pytest.mark.parametrize("seed", range(5))
def test_air_is_conserved_by_any_turning(seed: int, *, capped: bool) -> None:
    rng = np.random.default_rng(seed)
    cavity = serpentine(2)
    start = pose(cavity, DOWN, capped=capped)
    where = rng.integers(0, len(cavity.surface.vertices), 6)
    amounts = rng.uniform(1.0, 200.0, 6)
    held = let_go(start, list(zip(where.tolist(), amounts.tolist(), strict=True)))
    poses = [start]
    for _ in range(5):
        u = rng.normal(size=3)
        poses.append(pose(cavity, u / np.linalg.norm(u), capped=capped))
    held = carried(poses, held)
    assert held.total_mm3 == pytest.approx(amounts.sum(), rel=1e-9)
    if capped:
        assert held.left_mm3 == 0.0
    assert sum(held.bubbles.values()) <= volume(cavity.surface)


def test_what_one_pose_traps_is_what_its_pockets_have_room_for() -> None:
    cavity = serpentine(3)
    air = trapped_air(cavity, DOWN)
    level = pose(cavity, DOWN, capped=False)
    # Far more air than there is room for: the rest leaves, and each pocket is full.
    held = let_go(level, [(int(p.tops[0]), 5000.0) for p in air.pockets])
    assert sum(held.bubbles.values()) == pytest.approx(air.volume_mm3, rel=1e-9)
    assert held.left_mm3 == pytest.approx(5000.0 * len(air.pockets) - air.volume_mm3, rel=1e-9)


def test_nothing_to_rock_is_said() -> None:
    cavity = serpentine(1)
    plan = plan_rocking(cavity, air_in=[0.0])
    assert plan.moves == ()
    assert plan.after_mm3 == 0.0
    assert "no rocking" in plan.words[0]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"max_tilt_deg": 0.0}, "between 0 and 180"),
        ({"max_moves": -1}, "none or more"),
        ({"air_in": [1.0, 2.0, 3.0]}, "3 pockets"),
        ({"up": (0.0, 0.0, 0.0)}, "direction"),
    ],
)
def test_bad_rocking_says_why(asked: dict, words: str) -> None:
    with pytest.raises(CavityError, match=words):
        plan_rocking(serpentine(1), **asked)
