from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold
from standing import box, master_of, round_column

from partline.air.pockets import trapped_air
from partline.cut.layout import rim_of
from partline.errors import StandError
from partline.geometry.solids import area, to_solid
from partline.geometry.volume import is_closed, volume
from partline.stand.footblock import DRAFT_DEG
from partline.stand.placing import place

DOWN = (0.0, 0.0, -1.0)
UP = (0.0, 0.0, 1.0)


def test_box_on_its_block_has_the_volume_of_both() -> None:
    stand = place(master_of(box(30, 20, 50)), foot_block_height_mm=15.0, sink_mm=0.5)
    assert stand.piece.extents[2] == pytest.approx(49.5)
    assert volume(stand.piece) == pytest.approx(30 * 20 * 49.5, rel=1e-12)
    assert stand.foot_block is not None
    assert stand.cavity.volume_mm3 == pytest.approx(
        30 * 20 * 49.5 + volume(stand.foot_block.surface), rel=1e-6
    )
    assert stand.seat_mm == 15.0
    assert stand.piece.bounds[0, 2] == pytest.approx(15.0)


def test_flared_block_of_a_round_base_is_a_frustum() -> None:
    # Volume of a frustum: pi h (R^2 + R r + r^2) / 3 (any handbook of solids).
    stand = place(master_of(round_column(19.0, 60.0)), foot_block_height_mm=15.0)
    assert stand.foot_block is not None
    assert stand.foot_block.kind == "flared"
    r, big = 19.0, 19.0 + 15.0 * np.tan(np.radians(DRAFT_DEG))
    expected = np.pi * 15.0 * (big**2 + big * r + r**2) / 3
    assert volume(stand.foot_block.surface) == pytest.approx(expected, rel=2e-3)
    assert stand.foot_block.width_mm == pytest.approx(2 * big, rel=2e-3)


def test_tilt_limit_of_the_worked_reservoir() -> None:
    # A reservoir 15 mm high and 38 mm wide at the mouth filled to its bottom allows 38 degrees:
    # arctan(15 / 19), by trigonometry.
    draft = 15.0 * np.tan(np.radians(DRAFT_DEG))
    stand = place(master_of(round_column(19.0 - draft, 60.0)), foot_block_height_mm=15.0)
    assert stand.mouth_width_mm == pytest.approx(38.0, abs=0.1)
    assert stand.tilt_limit_deg == pytest.approx(np.degrees(np.arctan2(15, 19)), abs=0.2)


def test_rubber_fills_the_nominal_box_less_the_piece() -> None:
    stand = place(
        master_of(box(30, 20, 50)), foot_block_height_mm=15.0, wall_mm=12.0, headroom_mm=13.0
    )
    height = 15.0 + 49.5 + 13.0
    assert stand.block_height_mm == pytest.approx(height)
    assert stand.rubber_cavity.volume_mm3 == pytest.approx(
        area((stand.outline,)) * height - stand.cavity.volume_mm3, rel=1e-9
    )
    # Steiner's formula: a wall w round a convex outline adds perimeter w + pi w^2.
    assert stand.foot_block is not None
    base = stand.foot_block.bottom
    q = np.roll(base[0], -1, axis=0)
    perimeter = float(np.linalg.norm(q - base[0], axis=1).sum())
    steiner = area(base) + perimeter * 12.0 + np.pi * 12.0**2
    assert area((stand.outline,)) == pytest.approx(steiner, rel=1e-3)


def test_outlets_are_every_vertex_of_the_mouth_and_of_the_open_top() -> None:
    stand = place(master_of(round_column(10.0, 40.0)))
    z = stand.cavity.surface.vertices[:, 2]
    assert set(stand.cavity.outlets) == set(np.flatnonzero(np.abs(z) < 1e-9))
    top = stand.rubber_cavity.surface.vertices[:, 2]
    assert set(stand.rubber_cavity.outlets) == set(np.flatnonzero(top > top.max() - 1e-6))


def test_nothing_is_trapped_round_a_plain_column() -> None:
    stand = place(master_of(round_column(12.0, 40.0, top=9.0)))
    assert trapped_air(stand.cavity, DOWN).volume_mm3 == pytest.approx(0.0, abs=1e-6)
    assert trapped_air(stand.rubber_cavity, UP).volume_mm3 == pytest.approx(0.0, abs=1e-6)


def test_several_feet_share_one_slab() -> None:
    table = box(40, 30, 5).translate((0, 0, 20))
    legs = [box(4, 4, 21).translate((x, y, 0)) for x in (2, 34) for y in (2, 24)]
    stand = place(master_of(Manifold.batch_boolean([table, *legs], _add())))
    assert stand.feet == 4
    assert stand.foot_block is not None
    assert stand.foot_block.kind == "slab"
    assert len(stand.foot_block.top) == 1
    low = np.concatenate(stand.footprint)
    reach = stand.foot_block.top[0]
    assert reach[:, 0].min() < low[:, 0].min()
    assert reach[:, 1].max() > low[:, 1].max()
    assert is_closed(stand.cavity.surface)
    # A table turned over has no high point but its legs, which open into the slab.
    assert trapped_air(stand.cavity, DOWN).volume_mm3 == pytest.approx(0.0, abs=1e-6)


def test_a_hollow_under_the_base_is_named_with_its_volume() -> None:
    cup = round_column(20.0, 30.0) - round_column(12.0, 10.0).translate((0, 0, -1))
    stand = place(master_of(cup), sink_mm=0.5)
    assert len(stand.hollows) == 1
    assert stand.hollows[0].volume_mm3 == pytest.approx(np.pi * 12.0**2 * 8.5, rel=2e-3)
    assert any("clay" in words for words in stand.words)
    # Rubber does not reach it, so it is no part of the rubber's cavity either.
    assert trapped_air(stand.rubber_cavity, UP).closed_mm3 == 0.0


def test_a_tip_is_trimmed_further_than_asked() -> None:
    cone = Manifold.cylinder(40.0, 0.0, 20.0, 256)
    stand = place(master_of(cone), sink_mm=0.5)
    assert stand.sink_mm == pytest.approx(0.03 * 40.0)
    # The section of a cone h above its tip: a circle of radius h R / H.
    assert area(stand.footprint) == pytest.approx(np.pi * (1.2 * 20 / 40) ** 2, rel=1e-3)


def test_mouth_at_a_point_turns_the_piece_onto_it() -> None:
    stand = place(master_of(box(30, 20, 50)), mouth="point", mouth_point=(15.0, 0.0, 25.0))
    assert stand.piece.extents == pytest.approx([50.0, 20.0, 29.5])
    assert volume(stand.piece) == pytest.approx(29.5 * 20 * 50, rel=1e-9)


def test_mouth_by_face_numbers_is_the_same_mouth() -> None:
    master = master_of(box(30, 20, 50))
    faces = np.flatnonzero(master.surface.face_normals[:, 0] > 0.9)
    stand = place(master, mouth="faces", mouth_faces=faces)
    assert stand.piece.extents == pytest.approx([50.0, 20.0, 29.5])


def test_a_mouth_above_other_parts_gets_a_taller_block() -> None:
    # An arch standing on its ends, with the mouth under the middle of its span.
    arch = box(60, 20, 30) - box(30, 30, 20).translate((15, -5, -0.001))
    master = master_of(arch)
    stand = place(master, mouth="point", mouth_point=(0.0, 0.0, 20.0), wall_mm=10.0)
    assert stand.sink_mm == 0.0
    assert stand.piece.bounds[0, 2] == pytest.approx(10.0, abs=0.6)
    assert stand.seat_mm > 29.0
    assert len(stand.cavity.outlets) > 0
    assert to_solid(stand.cavity.surface).num_tri() > 0


def test_parts_that_hang_lower_than_the_mouth_are_skin_like_any() -> None:
    # A beam with a knob under its left end, which is the mouth, and a leg under its right one.
    beam = box(80, 20, 20) + box(10, 10, 4).translate((5, 5, -3)) + box(10, 20, 16).translate(
        (70, 0, -15))  # fmt: skip
    master = master_of(beam)
    stand = place(master, mouth="point", mouth_point=(-30.0, 0.0, 12.0))
    seat, under = stand.seat_mm, stand.piece_faces < 0
    corners = stand.piece.vertices[stand.piece.faces]
    low = corners[:, :, 2].max(axis=1) <= seat
    assert np.ptp(stand.piece.vertices[:, 2]) == pytest.approx(35.0)
    assert under.any()
    assert low[under].all()
    # The knob is 10 mm wide; what is under it lies within it, and the leg is none of it.
    assert np.ptp(corners[under].reshape(-1, 3), axis=0)[:2] == pytest.approx([10.0, 10.0])
    leg = low & (corners[:, :, 0].min(axis=1) > 0)
    assert leg.any()
    assert not (under & leg).any()
    rim = stand.piece.vertices[rim_of(stand)]
    assert np.ptp(rim, axis=0)[:2] == pytest.approx([10.0, 10.0])


@pytest.mark.parametrize("turn", [0.3, 1.1, 2.5])
def test_turning_about_the_upright_changes_no_volume(turn: float) -> None:
    solid = round_column(15.0, 30.0) + box(30, 8, 12).translate((-5, -4, 10))
    first = place(master_of(solid))
    turned = place(master_of(solid.rotate((0, 0, np.degrees(turn)))))
    assert turned.cavity.volume_mm3 == pytest.approx(first.cavity.volume_mm3, rel=1e-4)
    a = trapped_air(first.rubber_cavity, UP).volume_mm3
    b = trapped_air(turned.rubber_cavity, UP).volume_mm3
    assert b == pytest.approx(a, rel=1e-3, abs=1e-3)


def test_without_a_block_the_mouth_is_the_seat() -> None:
    stand = place(master_of(box(30, 20, 50)), foot_block=False)
    assert stand.foot_block is None
    assert stand.seat_mm == 0.0
    assert stand.tilt_limit_deg == 0.0
    assert stand.cavity.volume_mm3 == pytest.approx(30 * 20 * 49.5, rel=1e-9)


def test_piece_faces_lead_back_to_the_master() -> None:
    master = master_of(round_column(15.0, 30.0, top=10.0))
    stand = place(master)
    kept = stand.piece_faces >= 0
    normals = master.surface.face_normals[stand.piece_faces[kept]]
    assert np.abs(normals - stand.piece.face_normals[kept]).max() < 1e-6
    assert (stand.piece.face_normals[~kept][:, 2] < -0.999).all()


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"mouth": "point", "mouth_point": (500.0, 0.0, 0.0)}, "away from the piece"),
        ({"mouth": "faces", "mouth_faces": (99999,)}, "not on the piece"),
        ({"sink_mm": 49.0}, "sink"),
    ],
)
def test_bad_stands_say_why(asked: dict, words: str) -> None:
    with pytest.raises(StandError, match=words):
        place(master_of(box(30, 20, 50)), **asked)


def test_faces_of_all_sides_are_no_mouth() -> None:
    master = master_of(box(30, 20, 50))
    with pytest.raises(StandError, match="face all ways"):
        place(master, mouth="faces", mouth_faces=range(len(master.surface.faces)))


def _add():  # type: ignore[no-untyped-def]
    from manifold3d import OpType

    return OpType.Add
