from __future__ import annotations

import numpy as np
import pytest
import trimesh

from partline.geometry.surface import Surface
from partline.geometry.volume import volume
from partline.scan.closing import closed, sorted_holes
from partline.scan.crossing import crossing_pairs
from partline.scan.draft import Draft


def without_cap(ball: Draft, direction: np.ndarray, cosine: float) -> Draft:
    """The ball without the faces within an angle of a direction."""
    middle = ball.vertices[ball.faces].mean(axis=1)
    middle /= np.linalg.norm(middle, axis=1)[:, None]
    return ball.kept(middle @ (direction / np.linalg.norm(direction)) < cosine).compacted()


def volume_of(draft: Draft) -> float:
    return volume(Surface(draft.vertices, draft.faces))


def test_a_small_hole_in_a_ball_is_filled_round():
    """The filling must come back to the ball: a flat one would miss the cap's volume."""
    fine = trimesh.creation.icosphere(6, radius=10.0)
    ball = Draft(np.array(fine.vertices), np.array(fine.faces), np.arange(len(fine.faces)))
    draft = without_cap(ball, np.array([1.0, 0.3, 0.2]), np.cos(np.radians(5)))
    closing = sorted_holes(draft)
    assert (len(closing.bases), len(closing.small), len(closing.large)) == (0, 1, 0)
    mended, found = closed(draft, closing)
    assert mended.table.is_closed
    assert found[0].kind == "hole"
    assert (mended.file_faces >= 0).sum() == len(draft.faces)
    whole = volume_of(ball)
    # Closed form of the cap that a flat filling would lose: pi h^2 (3 R - h) / 3.
    h = 10 * (1 - np.cos(np.radians(5)))
    cap = np.pi * h * h * (30 - h) / 3
    assert abs(volume_of(mended) - whole) < 0.15 * cap
    fresh = mended.vertices[len(draft.vertices) :]
    assert np.abs(np.linalg.norm(fresh, axis=1) - 10).max() < 0.25 * h
    assert not len(crossing_pairs(mended))
    assert abs(volume_of(mended) - whole) < found[0].doubt < 3 * cap


def test_an_open_underside_gets_a_flat_cap(ball):
    draft = ball.kept(ball.vertices[ball.faces][:, :, 2].min(axis=1) > -6).compacted()
    closing = sorted_holes(draft)
    assert len(closing.bases) == 1
    mended, found = closed(draft, closing)
    assert mended.table.is_closed
    assert found[0].kind in ("open base", "uneven base")
    assert found[0].size == closing.bases[0].length
    h = 10 + mended.vertices[mended.faces[mended.file_faces < 0]][:, :, 2].mean()
    cap = np.pi * h * h * (30 - h) / 3
    assert volume_of(mended) == pytest.approx(volume_of(ball) - cap, rel=0.01)


def test_the_same_hole_anywhere_else_is_large(ball):
    for axis, sign in ((2, 1), (0, 1), (1, -1)):
        reach = sign * ball.vertices[ball.faces][:, :, axis]
        closing = sorted_holes(ball.kept(reach.max(axis=1) < 6).compacted())
        assert len(closing.large) == 1
        assert not closing.bases


def test_a_round_hole_underneath_is_a_hole_and_not_a_base(ball):
    """The ball runs on smoothly: filled round, its volume in doubt; cut off flat it is a base."""
    draft = without_cap(ball, np.array([0.0, 0, -1]), np.cos(np.radians(11)))
    closing = sorted_holes(draft)
    assert (len(closing.bases), len(closing.small)) == (0, 1)
    mended, (hole,) = closed(draft, closing)
    assert abs(volume_of(mended) - volume_of(ball)) < hole.doubt


def test_a_wide_round_hole_underneath_is_closed_flat_and_left_in_doubt(ball):
    """Too wide for a hole, too smooth for a base: between the cap and the ball lies the truth."""
    ragged = ball.vertices[ball.faces].mean(axis=1)
    wave = 1 + 0.06 * np.sin(3 * np.arctan2(ragged[:, 1], ragged[:, 0]))
    draft = ball.kept(ragged[:, 2] > -8.6 * wave).compacted()
    closing = sorted_holes(draft)
    assert len(closing.bases) == 1
    mended, (base,) = closed(draft, closing)
    assert base.kind == "uneven base"
    assert 0 < volume_of(ball) - volume_of(mended) < base.doubt


def test_every_triangle_of_a_cube(cube):
    """A missing triangle of the underside is filled exactly; any other is refused."""
    for k in range(12):
        draft = cube.kept(np.arange(12) != k)
        closing = sorted_holes(draft)
        low = (cube.vertices[cube.faces[k]][:, 2] == 280).all()
        assert len(closing.bases) == low
        assert len(closing.large) == (not low)
        if low:
            assert volume_of(closed(draft, closing)[0]) == pytest.approx(64000, rel=1e-12)


def test_a_relief_with_a_wavy_rim_gets_a_plinth():
    """A sheet over a square with a rim that waves above its own hollows: volume to the floor."""
    n = 41
    x, y = np.meshgrid(np.linspace(0, 40, n), np.linspace(0, 40, n), indexing="ij")
    z = 8 * np.cos(x / 40 * 2 * np.pi) * np.cos(y / 40 * 2 * np.pi)
    points = np.column_stack([x.ravel(), y.ravel(), z.ravel()])
    k = np.arange(n * n).reshape(n, n)
    a, b, c, d = k[:-1, :-1].ravel(), k[1:, :-1].ravel(), k[1:, 1:].ravel(), k[:-1, 1:].ravel()
    faces = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    draft = Draft(points, faces, np.arange(len(faces)))
    closing = sorted_holes(draft)
    assert len(closing.bases) == 1
    mended, found = closed(draft, closing)
    assert found[0].kind == "plinth"
    assert mended.table.is_closed
    assert not len(crossing_pairs(mended))
    floor = mended.vertices[:, 2].min()
    corners = points[faces]
    sides = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    flat = 0.5 * np.abs(np.cross(*sides)[:, 2])
    exact = float((flat * (corners[:, :, 2].mean(axis=1) - floor)).sum())
    assert volume_of(mended) == pytest.approx(exact, rel=1e-9)
