"""Trapped air where the surface's tree is not the cavity's: pegs, cores, plateaus, pinches."""

from __future__ import annotations

import boxes
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.sweep import Sweep
from partline.errors import CavityError
from partline.geometry.surface import Surface

UP = (0.0, 0.0, 1.0)
ROOM = boxes.block((0, 0, 0), (10, 10, 10))


def test_a_flat_ceiling_holds_everything_above_the_mouth() -> None:
    room = boxes.surface_of(ROOM)
    air = trapped_air(Cavity(room, boxes.at(room, z=0.0)), UP)
    assert air.volume_mm3 == pytest.approx(1000.0, rel=1e-12)
    assert len(air.pockets) == 1
    assert air.pockets[0].spill_level_mm == 0.0
    assert air.pockets[0].depth_mm == pytest.approx(10.0)
    assert air.closed_mm3 == 0.0


def test_an_outlet_in_the_middle_of_a_plateau_empties_it() -> None:
    body = ROOM
    for i in range(1, 5):  # boxes below split the ceiling's neighbours, the ceiling stays flat
        body = body - boxes.block((2 * i, 4, 0), (2 * i + 1, 5, 10 - i))
    room = boxes.surface_of(body.refine(5))
    ceiling = boxes.at(room, z=10.0)
    middle = ceiling[np.argmin(np.linalg.norm(room.vertices[ceiling] - [5, 5, 10], axis=1))]
    assert np.ptp(room.vertices[ceiling, 2]) == 0.0
    assert 0.0 < room.vertices[middle, 0] < 10.0
    assert trapped_air(Cavity(room, [middle]), UP).volume_mm3 == 0.0


def test_the_head_of_a_peg_is_no_pocket() -> None:
    room = boxes.surface_of(ROOM - boxes.block((4, 4, 0), (6, 6, 7)))
    air = trapped_air(Cavity(room, boxes.at(room, z=10.0)), UP)
    assert air.volume_mm3 == 0.0
    assert air.pockets == ()


def test_a_peg_that_pierces_the_spill_level_takes_its_own_room() -> None:
    room = boxes.surface_of(
        ROOM - boxes.block((4, 4, 0), (6, 6, 7)) - boxes.block((9, 0, 3), (10, 1, 4))
    )
    # Air leaves through the lower edge of a notch in the wall at z = 3.
    air = trapped_air(Cavity(room, boxes.at(room, z=3.0)), UP)
    assert air.volume_mm3 == pytest.approx(700.0 - 4 * 4.0 - 1.0, rel=1e-12)


def test_a_floating_core_belongs_to_the_air_around_it() -> None:
    core = boxes.block((3, 3, 4), (7, 7, 8))
    room = boxes.surface_of(ROOM - core)
    # The way out is a point of the core itself: half of the core's height is pierced.
    air = trapped_air(Cavity(room, boxes.at(room, z=4.0)), UP)
    assert air.volume_mm3 == pytest.approx(600.0 - 64.0, rel=1e-12)
    air = trapped_air(Cavity(room, boxes.at(room, z=8.0)), UP)
    assert air.volume_mm3 == pytest.approx(200.0, rel=1e-12)


def test_a_bell_inside_holds_air_that_the_outer_ceiling_does_not() -> None:
    bell = boxes.block((2, 2, 2), (8, 8, 8)) - boxes.block((3, 3, 2), (7, 7, 7))
    room = boxes.surface_of(ROOM - bell)
    air = trapped_air(Cavity(room, boxes.at(room, z=10.0)), UP)
    assert air.volume_mm3 == pytest.approx(4 * 4 * 5.0, rel=1e-12)
    assert air.pockets[0].spill_level_mm == 2.0


def test_a_body_without_outlet_is_all_air_and_named() -> None:
    two = boxes.joined(
        boxes.surface_of(ROOM), boxes.surface_of(boxes.block((20, 0, 5), (23, 4, 10)))
    )
    for level in ("brim", "open"):
        air = trapped_air(Cavity(two, boxes.at(two, z=0.0)), (0, 0, -1), level=level)
        assert air.closed_mm3 == pytest.approx(60.0, rel=1e-12)
        assert air.volume_mm3 == pytest.approx(60.0, rel=1e-12)
        assert air.top_up_mm3 == pytest.approx(0.0, abs=1e-9)
        assert [p.spill_level_mm for p in air.pockets] == [-np.inf]


def test_air_does_not_pass_a_pinch() -> None:
    # Two pyramids tip to tip: the lower one's air cannot leave through the point.
    pair = boxes.merged_points(
        boxes.joined(boxes.cone((0, 0, 0), -3.0), boxes.cone((0, 0, 0), 3.0))
    )
    assert len(pair.vertices) == 9
    air = trapped_air(Cavity(pair, boxes.at(pair, z=3.0)), UP)
    assert air.closed_mm3 == pytest.approx(4.0, rel=1e-12)
    assert air.volume_mm3 == pytest.approx(4.0, rel=1e-12)


def test_a_hollow_that_touches_the_ceiling_in_a_point() -> None:
    # A solid pyramid inside the cavity, its tip in the middle of the ceiling.
    room = boxes.surface_of(ROOM)
    ceiling = Surface(
        np.vstack([room.vertices, [5.0, 5.0, 10.0]]), _with_point(room, len(room.vertices))
    )
    inner = boxes.cone((5, 5, 10), -3.0)
    hollow = Surface(inner.vertices, inner.faces[:, ::-1])
    both = boxes.merged_points(boxes.joined(ceiling, hollow))
    air = trapped_air(Cavity(both, boxes.at(both, z=0.0)), UP)
    assert air.volume_mm3 == pytest.approx(1000.0 - 4.0, rel=1e-12)


def _with_point(room: Surface, new: int) -> np.ndarray:
    """Return the faces of a box with its two top triangles made four round a new vertex."""
    top = (np.abs(room.vertices[room.faces][:, :, 2] - 10.0) < 1e-9).all(axis=1)
    corners = room.faces[top]
    pairs = {tuple(p) for f in corners for p in zip(f, np.roll(f, -1), strict=True)}
    rim = [p for p in pairs if p[::-1] not in pairs]
    return np.vstack([room.faces[~top], [(a, b, new) for a, b in rim]])


def test_unused_vertices_change_nothing() -> None:
    room = boxes.surface_of(ROOM)
    more = Surface(np.vstack([[[5.0, 5.0, 99.0]], room.vertices]), room.faces + 1)
    air = trapped_air(Cavity(more, boxes.at(more, z=0.0)), UP)
    assert air.volume_mm3 == pytest.approx(1000.0, rel=1e-12)
    assert air.pocket_of[0] == -1
    assert air.closed_mm3 == 0.0
    with pytest.raises(CavityError, match="no face uses it"):
        Cavity(more, [0])


def test_what_cannot_be_answered_is_said() -> None:
    room = boxes.surface_of(ROOM)
    with pytest.raises(CavityError, match="no outlet"):
        Cavity(room, [])
    with pytest.raises(CavityError, match="not on the surface"):
        Cavity(room, [8])
    with pytest.raises(CavityError, match="not on the surface"):
        Cavity(room, [-1, 3])
    with pytest.raises(CavityError, match="open"):
        Cavity(Surface(room.vertices, room.faces[1:]), [0])
    with pytest.raises(CavityError, match="inside out"):
        Cavity(Surface(room.vertices, room.faces[:, ::-1]), [0])
    cavity = Cavity(room, [0])
    for wrong in ((0, 0, 0), (0, 0, np.nan), (0, 1)):
        with pytest.raises(CavityError, match="direction"):
            trapped_air(cavity, wrong)


def test_a_surface_that_runs_through_itself_is_said_where_it_is_noticed() -> None:
    # A spike from the ceiling out through the floor; turned over, its tip is a top without ceiling.
    room = boxes.surface_of(ROOM)
    spiked = Surface(
        np.vstack([room.vertices, [5.0, 5.0, -4.0]]), _with_point(room, len(room.vertices))
    )
    cavity = Cavity(spiked, boxes.at(room, z=0.0))
    for ask in (lambda: trapped_air(cavity, (0, 0, -1)), lambda: Sweep(cavity)(-np.eye(3)[2:])):
        with pytest.raises(CavityError, match="runs through itself"):
            ask()


def test_a_head_just_through_its_ceiling_joins_it() -> None:
    """A tenth of a millimetre of spike through the floor: turned over, all runs out as without."""
    room = boxes.surface_of(ROOM)
    cavity = Cavity(
        Surface(np.vstack([room.vertices, [5.0, 5.0, -0.1]]),
                _with_point(room, len(room.vertices))),
        boxes.at(room, z=0.0),
    )  # fmt: skip
    down = np.array([[0.0, 0.0, -1.0]])
    assert abs(trapped_air(cavity, down[0]).volume_mm3) < 1e-3
    assert abs(Sweep(cavity)(down)[0][0]) < 1e-3


@pytest.mark.parametrize("off", [1e-300, 1e-284, 1e-160, 1e-20])
def test_a_plateau_tipped_by_next_to_nothing(off: float) -> None:
    room = boxes.surface_of(ROOM - boxes.block((4, 4, 3), (6, 6, 7)))
    for up in ((0, off, -1), (off, off, 1), (off, 0, 1)):
        air = trapped_air(Cavity(room, boxes.at(room, z=0.0)), up)
        level = trapped_air(Cavity(room, boxes.at(room, z=0.0)), np.round(up))
        assert air.volume_mm3 == pytest.approx(level.volume_mm3, abs=1e-9)


def test_an_open_mould_is_short_above_its_lowest_rim_point() -> None:
    # Mouth up, tipped by t about y: the wedge above the rim's low edge, a^2 b tan(t) / 2.
    a, b, t = 4.0, 3.0, np.radians(20)
    body = boxes.block((0, 0, 0), (a, b, 10))
    room = boxes.surface_of(body)
    cavity = Cavity(room, boxes.at(room, z=10.0))
    air = trapped_air(cavity, (np.sin(t), 0, np.cos(t)), level="open")
    assert air.volume_mm3 == 0.0
    assert air.top_up_mm3 == pytest.approx(a * a * b * np.tan(t) / 2, rel=1e-12)
    assert trapped_air(cavity, (np.sin(t), 0, np.cos(t))).top_up_mm3 == 0.0


def test_an_open_mould_keeps_the_air_of_its_sealed_pockets() -> None:
    # A side chamber that climbs above the mouth: closed by the resin at its lower edge.
    body = boxes.block((0, 0, 0), (4, 4, 10)) + boxes.block((4, 0, 2), (8, 4, 4))
    body = body + boxes.block((6, 0, 2), (8, 4, 15))
    room = boxes.surface_of(body)
    air = trapped_air(Cavity(room, np.intersect1d(boxes.at(room, z=10.0), np.flatnonzero(
        room.vertices[:, 0] < 5))), UP, level="open")  # fmt: skip
    # Sealed at the passage's ceiling, z = 4.
    assert air.volume_mm3 == pytest.approx(2 * 4 * 11.0, rel=1e-12)
    assert air.top_up_mm3 == pytest.approx(0.0, abs=1e-9)


def random_room(seed: int) -> Surface:
    rng = np.random.default_rng(seed)
    body = ROOM
    for _ in range(12):
        low = rng.uniform(-1, 9, 3)
        body = body - boxes.block(tuple(low), tuple(low + rng.uniform(1, 4, 3)))
    return boxes.surface_of(body)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.lists(st.floats(-1, 1), min_size=3, max_size=3))
def test_an_added_outlet_never_adds_air_and_pockets_fit_in_the_cavity(
    seed: int, up: list[float]
) -> None:
    if np.linalg.norm(up) < 1e-3:
        up = [0.0, 0.0, 1.0]
    room = random_room(seed)
    outlets = np.random.default_rng(seed).permutation(len(room.vertices))
    before = np.inf
    for count in (1, 2, 5, len(outlets)):
        cavity = Cavity(room, outlets[:count])
        air = trapped_air(cavity, up, visible_mm=1e-3)
        size = cavity.volume_mm3
        assert air.volume_mm3 <= before + 1e-9 * size
        assert -1e-9 * size <= air.volume_mm3 <= size * (1 + 1e-9)
        assert sum(p.volume_mm3 for p in air.pockets) + air.fine_mm3 == pytest.approx(
            air.volume_mm3, abs=1e-9 * size
        )
        before = air.volume_mm3
    assert before == pytest.approx(0.0, abs=1e-9 * size)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_turning_moving_scaling_and_renumbering_change_nothing(seed: int) -> None:
    rng = np.random.default_rng(seed)
    room = random_room(seed)
    outlets = rng.choice(len(room.vertices), 3, replace=False)
    up = rng.normal(size=3)
    air = trapped_air(Cavity(room, outlets), up, visible_mm=1e-3)
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    scale, move = rng.uniform(0.1, 10), rng.normal(size=3) * 20
    names = rng.permutation(len(room.vertices))
    points = np.empty_like(room.vertices)
    points[names] = room.vertices @ turn.T * scale + move
    faces = names[room.faces][rng.permutation(len(room.faces))]
    faces = np.take_along_axis(
        faces, (np.arange(3) + rng.integers(3, size=(len(faces), 1))) % 3, axis=1
    )
    other = trapped_air(
        Cavity(Surface(points, faces), names[outlets]), turn @ up, visible_mm=1e-3 * scale
    )
    assert other.volume_mm3 == pytest.approx(
        air.volume_mm3 * scale**3, rel=1e-9, abs=1e-9 * scale**3
    )
    assert len(other.pockets) == len(air.pockets)
    for here, there in zip(air.pockets, other.pockets, strict=True):
        assert there.volume_mm3 == pytest.approx(here.volume_mm3 * scale**3, rel=1e-7)
