from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.errors import Cancelled, NotSolid
from partline.scan.draft import Draft
from partline.scan.repairing import cleaned, facing, solid
from partline.scan.turning import turned


def test_a_sound_body_is_left_alone(ball):
    draft, found = cleaned(ball)
    same, more, warnings = solid(draft)
    assert not found + more
    assert not warnings
    np.testing.assert_array_equal(same.faces, ball.faces)


def test_everything_at_once_is_mended_and_listed(ball, both):
    """Speck, copy, degenerate, turned, hole, inside out; the volume comes back."""
    speck = Draft(ball.vertices * 0.005 + [12.0, 0, 3], ball.faces, ball.file_faces)
    draft = both(ball, speck)
    faces = np.vstack([draft.faces, draft.faces[7], [[3, 3, 9]]])[1:]
    draft = Draft(draft.vertices, faces, np.arange(len(faces)))
    mask = np.ones(len(faces), dtype=bool)
    mask[200:260] = False
    draft, found = cleaned(turned(draft, mask))
    result, more, _ = solid(draft)
    kinds = [f.kind for f in found + more]
    assert kinds == ["degenerate", "duplicate", "turned", "speck", "inside out", "hole"]
    assert result.table.is_closed
    assert result.face_volumes().sum() == pytest.approx(ball.face_volumes().sum(), rel=1e-3)


def test_refusals_name_the_place(ball):
    top = ball.kept(ball.vertices[ball.faces][:, :, 2].max(axis=1) < 6).compacted()
    with pytest.raises(NotSolid, match=r"1 large hole, the .* near \(0, 0, 5\.\d\) mm, facing up"):
        solid(top)
    with pytest.raises(NotSolid, match="No faces are left"):
        solid(Draft(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0)))


def pierced(degrees: float) -> tuple[Draft, float]:
    """A ball with 32 round holes of a half-angle, and the volume it had."""
    fine = trimesh.creation.icosphere(6, radius=10.0)
    ball = Draft(np.array(fine.vertices), np.array(fine.faces), np.arange(len(fine.faces)))
    ico = trimesh.creation.icosahedron()
    middle = np.array(fine.triangles_center) / 10
    keep = np.ones(len(ball.faces), dtype=bool)
    for spot in np.vstack([ico.vertices, ico.triangles_center]):
        keep &= middle @ spot / np.linalg.norm(spot) < np.cos(np.radians(degrees))
    return cleaned(ball.kept(keep))[0], float(ball.face_volumes().sum())


def test_many_holes_are_filled_while_they_leave_little_open():
    """6 % of the surface is missing, but what 32 small caps hide is known closely."""
    draft, truth = pierced(5)
    mended, (hole,), _ = solid(draft)
    assert (hole.kind, hole.count) == ("hole", 32)
    assert abs(mended.face_volumes().sum() - truth) < hole.doubt < 0.0025 * truth
    assert hole.area == pytest.approx(32 * 200 * np.pi * (1 - np.cos(np.radians(5))), rel=0.05)


def test_a_hole_wide_enough_to_hide_something_is_pointed_out(ball):
    middle = ball.vertices[ball.faces].mean(axis=1) / 10
    for degrees, told in ((5, False), (11, True)):
        draft = ball.kept(middle[:, 0] < np.cos(np.radians(degrees))).compacted()
        _, _, warnings = solid(draft)
        assert any("look whether something stood out" in w for w in warnings) == told


def test_many_wide_holes_are_refused_by_what_they_leave_open():
    """Caps of 11 degrees: (1 - cos 11) / 2 of the ball each; two that lie lowest pass for bases."""
    with pytest.raises(NotSolid, match=r"30 holes.*of the volume open") as caught:
        solid(pierced(11)[0])
    told = float(str(caught.value).split("; ")[1].split(" %")[0]) / 100
    assert told == pytest.approx(15 * (1 - np.cos(np.radians(11))), rel=0.05)


def test_a_body_that_runs_through_itself_is_refused(ball):
    """A ball pushed through its own far side is still closed and manifold."""
    points = ball.vertices.copy()
    top = points[:, 2] > 7
    points[top, 2] -= 2.5 * (points[top, 2] - 7) * 4
    points[top, :2] *= 0.4
    with pytest.raises(NotSolid, match="counted twice or inside out"):
        solid(Draft(points * [1, 1, 1], ball.faces, ball.file_faces))


def test_leaves_that_hold_no_volume_are_refused_in_words():
    """200 triangles apart: their fillings lie back on them, and there is no volume to share."""
    corners = np.repeat(2.0 * np.eye(3)[None], 200, axis=0)
    corners += np.arange(200)[:, None, None] * 20.0
    faces = np.arange(600).reshape(200, 3)
    with pytest.raises(NotSolid, match="100 % of the volume open"):
        solid(Draft(corners.reshape(-1, 3), faces, np.arange(200)))


def test_a_sheet_is_no_body():
    points = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    sheet = Draft(points, np.array([[0, 1, 2]]), np.zeros(1, dtype=np.int64))
    with pytest.raises(NotSolid, match="no volume"):
        solid(sheet)


def test_hollows_and_several_bodies_are_told(ball, both):
    every = np.ones(len(ball.faces), dtype=bool)
    inner = turned(Draft(ball.vertices * 0.5, ball.faces, ball.file_faces), every)
    _, _, warnings = solid(both(ball, inner))
    assert "1 closed hollow" in warnings[0]
    beside = Draft(ball.vertices + np.array([25.0, 0, 0]), ball.faces, ball.file_faces)
    _, _, warnings = solid(both(ball, beside))
    assert "2 separate bodies" in warnings[0]


def test_cancelling_stops_it(ball):
    def stop(fraction: float, words: str) -> None:
        raise Cancelled(words)

    with pytest.raises(Cancelled):
        cleaned(ball, stop)


def test_facing():
    assert facing(np.array([0.1, -0.9, 0.2])) == "front"
    assert facing(np.array([0, 0, -1.0])) == "down"
