from __future__ import annotations

import numpy as np
import pytest

from partline.scan.bodies import Shells, outward
from partline.scan.draft import Draft
from partline.scan.joining import repeats
from partline.scan.repairing import cleaned, solid
from partline.scan.repeating import repeated, without_repeated
from partline.scan.turning import turned


def with_faces(draft: Draft, *more: np.ndarray) -> Draft:
    faces = np.vstack([draft.faces, *more])
    return Draft(draft.vertices, faces, np.arange(len(faces)))


def back(faces: np.ndarray) -> np.ndarray:
    return faces[:, [0, 2, 1]]


def kinds(draft: Draft) -> list[tuple[str, int]]:
    return [(one.kind, one.count) for one in without_repeated(draft)[1]]


def two_rooms() -> Draft:
    """Boxes of 1 and 2 on either side of the square x = 0, each closed by a square of its own."""
    points = np.array([[x, y, z] for x in (-1.0, 0.0, 2.0) for y in (0, 1) for z in (0, 1)])
    left = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4],
                     [1, 5, 7, 3]])  # fmt: skip
    quads = np.vstack([left, (left + 4)[1:], [[4, 5, 7, 6]]])
    faces = np.vstack([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return Draft(points, faces, np.arange(len(faces)))


def test_copies_and_folds(ball):
    extra = with_faces(ball, ball.faces[:1][:, [1, 2, 0]], np.array([[1, 2, 50], [1, 50, 2]]))
    assert len(repeats(extra.faces)) == 2
    twice = repeated(extra.faces)
    assert np.flatnonzero(twice.copies).tolist() == [len(ball.faces)]
    assert (twice.front.tolist(), twice.back.tolist()) == (
        [len(ball.faces) + 1], [len(ball.faces) + 2],
    )  # fmt: skip
    kept, found = without_repeated(extra)
    assert kept.table.is_closed
    assert [f.kind for f in found] == ["duplicate", "folded"]
    twice = repeated(with_faces(ball, back(ball.faces[3:4])).faces)
    assert (twice.front.tolist(), twice.back.tolist()) == ([3], [len(ball.faces)])


@pytest.mark.parametrize("behind", [False, True], ids=["front first", "back first"])
def test_a_ball_with_two_sides_keeps_the_one_that_faces_out(ball, behind):
    skin = Draft(ball.vertices, back(ball.faces), ball.file_faces) if behind else ball
    draft, found = without_repeated(with_faces(skin, back(skin.faces)))
    assert [(one.kind, one.count) for one in found] == [("two-sided", len(ball.faces))]
    assert draft.table.is_closed
    assert draft.face_volumes().sum() == pytest.approx(ball.face_volumes().sum(), rel=1e-12)
    # The faces that stay are the file's own ones that lie so.
    first = len(ball.faces) if behind else 0
    assert sorted(draft.file_faces) == list(range(first, first + len(ball.faces)))


def test_a_patch_with_two_sides_stays_once_as_its_neighbours_lie(ball):
    high = ball.vertices[ball.faces].mean(axis=1)[:, 2]
    for patch in (high > 9, high > -8):  # less and more than half of the skin
        for skin in (ball, Draft(ball.vertices, back(ball.faces), ball.file_faces)):
            # The side that belongs there is once the first, once the second of the two.
            for one in (skin, turned(skin, patch)):
                draft, found = without_repeated(with_faces(one, back(one.faces[patch])))
                assert [(f.kind, f.count) for f in found] == [("two-sided", patch.sum())]
                assert draft.table.is_closed
                assert draft.face_volumes().sum() == pytest.approx(skin.face_volumes().sum())


def test_three_on_the_same_corners_leave_one_on_a_closed_skin(ball):
    draft = with_faces(ball, ball.faces[:4], back(ball.faces[:4]))
    assert kinds(draft) == [("duplicate", 4), ("two-sided", 4)]
    assert without_repeated(draft)[0].face_volumes().sum() == pytest.approx(
        ball.face_volumes().sum(), rel=1e-12
    )


def test_a_wall_between_two_rooms_goes():
    rooms = two_rooms()
    assert rooms.face_volumes().sum() == pytest.approx(3.0)
    draft, found = without_repeated(rooms)
    assert [(one.kind, one.count) for one in found] == [("folded", 4)]
    assert draft.table.is_closed
    assert draft.face_volumes().sum() == pytest.approx(3.0, rel=1e-12)
    assert np.ptp(draft.vertices, axis=0).tolist() == [3.0, 1.0, 1.0]


def test_a_wall_goes_and_skin_with_two_sides_at_its_rim_stays():
    """Both hang together at the wall's rim: each is judged by what meets it alone."""
    rooms = two_rooms()
    roof = (rooms.vertices[rooms.faces][:, :, 2] == 1).all(axis=1) & (
        rooms.vertices[rooms.faces][:, :, 0].max(axis=1) == 0
    )
    assert roof.sum() == 2
    draft, found = without_repeated(with_faces(rooms, back(rooms.faces[roof])))
    assert [(one.kind, one.count) for one in found] == [("folded", 4), ("two-sided", 2)]
    assert draft.table.is_closed
    assert draft.face_volumes().sum() == pytest.approx(3.0, rel=1e-12)


def test_rooms_with_two_sides_everywhere_keep_their_skin_and_lose_their_wall():
    rooms = two_rooms()
    draft, _ = without_repeated(with_faces(rooms, back(rooms.faces)))
    whole, found = without_repeated(rooms)
    assert [one.kind for one in found] == ["folded"]
    assert len(draft.faces) == len(whole.faces)
    mended, _, _ = solid(cleaned(with_faces(rooms, back(rooms.faces)))[0])
    assert mended.face_volumes().sum() == pytest.approx(3.0, rel=1e-12)


def test_a_fin_without_thickness_goes(ball):
    tip = len(ball.vertices)
    a, b, _ = ball.faces[0]
    fin = np.array([[a, b, tip], [b, a, tip]])
    draft = Draft(
        np.vstack([ball.vertices, 1.5 * ball.vertices[a]]),
        np.vstack([ball.faces, fin]),
        np.arange(len(ball.faces) + 2),
    )
    kept, found = without_repeated(draft)
    assert [(one.kind, one.count) for one in found] == [("folded", 2)]
    np.testing.assert_array_equal(kept.faces, ball.faces)


def test_an_open_scan_with_two_sides_is_that_scan(ball):
    high = ball.vertices[ball.faces].mean(axis=1)[:, 2]
    bowl = ball.kept(high < 5).compacted()
    draft, found = without_repeated(with_faces(bowl, back(bowl.faces)))
    assert [(one.kind, one.count) for one in found] == [("two-sided", len(bowl.faces))]
    assert sorted(map(tuple, draft.faces)) == sorted(map(tuple, bowl.faces))
    assert outward(draft)[0] is draft
    # Doubled up to its rim on one side only, it still loses nothing.
    some = bowl.vertices[bowl.faces].mean(axis=1)[:, 0] > 0
    draft, found = without_repeated(with_faces(bowl, back(bowl.faces[some])))
    assert [(one.kind, one.count) for one in found] == [("two-sided", some.sum())]
    assert sorted(map(tuple, draft.faces)) == sorted(map(tuple, bowl.faces))


def test_a_loose_sheet_with_two_sides_goes(ball):
    sheet = np.array([[0, 1, 2], [0, 2, 1]])
    points = np.array([[30.0, 0, 0], [34, 0, 0], [30, 4, 0]])
    beside = Draft(
        np.vstack([points, ball.vertices]),
        np.vstack([sheet, ball.faces + 3]),
        np.arange(len(ball.faces) + 2),
    )
    assert kinds(beside) == [("folded", 2)]
    assert kinds(Draft(points, sheet, np.arange(2))) == [("folded", 2)]


def test_a_shallow_relief_with_two_sides_stays_where_it_is_all_there_is(ball):
    """A sheet by all that tells a body from one, but the scan of something."""
    high = ball.vertices[ball.faces].mean(axis=1)[:, 2]
    cap = ball.kept(high > 9.8).compacted()
    cap = Draft(cap.vertices * [1, 1, 0.02], cap.faces, cap.file_faces)
    assert not Shells.of(cap).is_told.any()
    assert kinds(with_faces(cap, back(cap.faces))) == [("two-sided", len(cap.faces))]


def test_a_sound_skin_is_left_as_it_is(ball):
    assert without_repeated(ball) == (ball, [])
    empty = Draft(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64))
    assert without_repeated(empty) == (empty, [])
