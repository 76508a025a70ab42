from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.scan.bodies import FEW_SPECKS, Shells, outward, united, without_flakes, without_specks
from partline.scan.draft import Draft
from partline.scan.turning import turned


def scaled(draft: Draft, factor: float, shift=(0.0, 0.0, 0.0)) -> Draft:
    return Draft(draft.vertices * factor + shift, draft.faces, draft.file_faces)


def test_shells_are_measured(ball, both):
    parts = Shells.of(both(ball, scaled(ball, 0.5, (20, 0, 0))))
    assert parts.count == 2
    assert parts.volume[0] / parts.volume[1] == pytest.approx(8)
    assert parts.area[0] / parts.area[1] == pytest.approx(4)
    np.testing.assert_allclose(parts.low[1], [15, -5, -5], atol=0.1)
    assert parts.is_closed.all()
    alone = Shells.of(ball)
    np.testing.assert_allclose(alone.high[0], parts.high[0])


def test_a_speck_beside_the_piece_goes_an_open_flake_too(ball, both):
    draft, found = without_specks(both(ball, scaled(ball, 0.01, (11, 2, 0))))
    np.testing.assert_array_equal(draft.faces, ball.faces)
    assert found[0].count == 1
    assert found[0].size == pytest.approx(0.01 * ball.diagonal)
    np.testing.assert_allclose(found[0].place, [11, 2, 0], atol=1e-9)
    flake = Draft(ball.vertices[:3] * 0.01, np.array([[0, 1, 2]]), np.zeros(1, dtype=np.int64))
    assert len(without_specks(both(ball, flake))[0].faces) == len(ball.faces)


def test_few_specks_are_told_each_the_largest_first(ball, both):
    draft = ball
    for k in range(FEW_SPECKS + 1):
        draft = both(draft, scaled(ball, 0.005 + 0.0005 * k, (12 + k, 0, 0)))
        if k in (2, FEW_SPECKS):
            (found,) = without_specks(draft)[1]
            told = found.each
            assert found.count == k + 1
            assert len(told) == (3 if k == 2 else 0)
            assert found.place == pytest.approx((12 + k, 0, 0), abs=1e-9)
            for j, (size, place) in enumerate(told):
                assert size == pytest.approx((0.006 - 0.0005 * j) * ball.diagonal)
                assert place == pytest.approx((14 - j, 0, 0), abs=1e-9)


def test_each_closed_body_is_turned_by_its_own_volume_before_they_are_joined(ball, both):
    """Two that overlap, one inside out: its points lie partly out of the other, so no hollow."""
    every = np.ones(len(ball.faces), dtype=bool)
    for shift in ((15.0, 0, 0), (13.3, 2.1, 0.7)):
        plain = both(ball, scaled(ball, 1.0, shift))
        over = both(ball, turned(scaled(ball, 1.0, shift), every))
        back, found = outward(over)
        assert [(one.kind, one.count) for one in found] == [("inside out", 1)]
        assert united(back)[0].face_volumes().sum() == pytest.approx(
            united(plain)[0].face_volumes().sum(), rel=1e-9
        )


def test_a_flake_goes_but_not_where_it_is_all_there_is(ball, both):
    """A triangle of any size closed by another; a wedge as thin as a hair has something in it."""
    points = np.array([[0.0, 0, 12], [5, 0, 12], [0, 5, 12], [0, 0, 12.001]])
    flake = Draft(points[:3], np.array([[0, 1, 2], [0, 2, 1]]), np.arange(2))
    draft, found = without_flakes(both(flake, ball))
    np.testing.assert_array_equal(draft.faces, ball.faces)
    assert [(one.kind, one.count) for one in found] == [("folded", 2)]
    assert found[0].place == (2.5, 2.5, 12.0)
    assert without_flakes(flake) == (flake, [])
    wedge = Draft(points, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]), np.arange(4))
    pair = both(wedge, ball)
    assert without_flakes(pair) == (pair, [])


def test_a_small_body_grown_into_the_piece_stays(ball, both):
    draft, found = without_specks(both(ball, scaled(ball, 0.02, (10, 0, 0))))
    assert not found
    assert len(draft.faces) == 2 * len(ball.faces)


def test_inside_out_bodies_turn_and_hollows_stay(ball, both):
    every = np.ones(len(ball.faces), dtype=bool)
    hollow = both(ball, turned(scaled(ball, 0.5), every))
    assert not outward(hollow)[1]
    exact = hollow.face_volumes().sum()
    back, found = outward(turned(hollow, np.ones(len(hollow.faces), dtype=bool)))
    assert found[0].count == 2
    assert back.face_volumes().sum() == pytest.approx(exact)
    single, found = outward(turned(ball, every))
    assert single.face_volumes().sum() > 0


def test_an_open_body_turns_by_what_is_there_of_it_wherever_it_lies(ball):
    high = ball.vertices[ball.faces].mean(axis=1)[:, 2]
    bowl = ball.kept(high < 0.6 * high.max()).compacted()
    bowl = Draft(bowl.vertices + np.array([500.0, -300.0, 80.0]), bowl.faces, bowl.file_faces)
    # Closed form: a ball less its cap of height 0.4 R, and a cone instead of a lid adds nothing.
    exact = 4 / 3 * np.pi - np.pi * 0.4**2 * (3 - 0.4) / 3
    assert Shells.of(bowl).volume[0] == pytest.approx(exact * 10.0**3, rel=0.04)
    assert outward(bowl) == (bowl, [])
    over = turned(bowl, np.ones(len(bowl.faces), dtype=bool))
    back, found = outward(over)
    assert [(one.kind, one.count) for one in found] == [("inside out", 1)]
    assert Shells.of(back).volume[0] == pytest.approx(Shells.of(bowl).volume[0])


def test_a_sheet_has_no_outside_and_is_left():
    grid = np.array([[x, y, 0.02 * x * y] for x in range(5) for y in range(5)], dtype=float)
    corner = np.array([5 * x + y for x in range(4) for y in range(4)])
    faces = np.vstack([corner[:, None] + [0, 5, 6], corner[:, None] + [0, 6, 1]])
    sheet = Draft(grid, faces, np.arange(len(faces)))
    for draft in (sheet, turned(sheet, np.ones(len(faces), dtype=bool))):
        assert not Shells.of(draft).is_told.any()
        assert outward(draft)[0] is draft


def test_overlapping_bodies_become_one(both):
    """Two unit cubes shifted by (0.5, 0.5, 0.5): union 2 - 1/8, closed form."""
    box = trimesh.creation.box((1, 1, 1))
    cube = Draft(np.array(box.vertices), np.array(box.faces), np.arange(12))
    pair = both(cube, Draft(cube.vertices + 0.5, cube.faces, cube.file_faces))
    one, found = united(pair)
    assert one.table.is_closed
    assert one.face_volumes().sum() == pytest.approx(2 - 1 / 8, rel=1e-12)
    assert found[0].kind == "overlap"
    assert "6.2 %" in found[0].note
    assert set(one.file_faces.tolist()) <= set(range(24))
    # Every face of the union lies in the plane of the face it names.
    normals = pair.face_vectors() / np.linalg.norm(pair.face_vectors(), axis=1)[:, None]
    level = np.einsum("ij,ij->i", normals, pair.vertices[pair.faces[:, 0]])
    corners = one.vertices[one.faces]
    away = (
        np.einsum("ikj,ij->ik", corners, normals[one.file_faces]) - level[one.file_faces][:, None]
    )
    assert np.abs(away).max() < 1e-9


def test_bodies_apart_are_left_as_they_are(ball, both):
    draft = both(ball, scaled(ball, 1.0, (30, 0, 0)))
    assert united(draft)[0] is draft
    near = both(ball, scaled(ball, 0.5, (11, 11, 0)))
    assert united(near)[0] is near


def test_a_hollow_survives_a_union(ball, both):
    every = np.ones(len(ball.faces), dtype=bool)
    hollow = both(ball, turned(scaled(ball, 0.5), every))
    body = float(ball.face_volumes().sum())
    arm = scaled(ball, 0.3, (10, 0, 0))
    one, _ = united(both(hollow, arm))
    # The arm reaches into the shell of the ball but not into its hollow.
    assert body * 7 / 8 < one.face_volumes().sum() < body * (7 / 8 + 0.027)
    assert Shells.of(one).count == 2


def test_nothing_has_no_bodies():
    """After cancelling faces nothing may be left: no step stumbles over it."""
    empty = Draft(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64))
    assert Shells.of(empty).count == 0
    for step in (outward, united):
        assert step(empty)[1] == []
