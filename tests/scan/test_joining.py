from __future__ import annotations

import numpy as np

from partline.scan.draft import Draft
from partline.scan.joining import (
    first_at_same_place,
    gaps_joined,
    repeats,
    seams_joined,
    without_degenerate,
)


def soup(draft: Draft, shift: float = 0.0) -> Draft:
    """Every triangle with vertices of its own, each moved at random by up to `shift`."""
    rng = np.random.default_rng(1)
    points = draft.vertices[draft.faces].reshape(-1, 3)
    points = points + rng.uniform(-shift, shift, points.shape)
    return Draft(points, np.arange(len(points)).reshape(-1, 3), draft.file_faces)


def test_same_places_agree_with_numpy_unique():
    """Reference: numpy.unique over rows; -0.0 and 0.0 are one place."""
    rng = np.random.default_rng(2)
    points = rng.integers(-3, 4, (2000, 3)) * 0.1
    points[::7] *= -1.0
    first = first_at_same_place(points)
    assert len(np.unique(first)) == len(np.unique(points + 0.0, axis=0))
    np.testing.assert_array_equal(points[first], points)
    assert (first <= np.arange(len(points))).all()


def test_a_soup_is_joined_without_a_word_a_seam_with_one(ball):
    joined, found = seams_joined(soup(ball))
    assert len(joined.vertices) == len(ball.vertices)
    assert joined.table.is_closed
    assert not found
    seam = ball.faces.copy()
    seam[:100] += len(ball.vertices)
    double = Draft(np.vstack([ball.vertices, ball.vertices]), seam, ball.file_faces)
    joined, found = seams_joined(double.compacted())
    assert joined.table.is_closed
    assert found[0].kind == "seam"
    assert found[0].count == len(double.compacted().vertices) - len(ball.vertices)


def test_gaps_of_a_rounding_close_and_larger_ones_stay(ball):
    close, found = gaps_joined(soup(ball, 1e-5))
    assert close.table.is_closed
    assert found[0].kind == "gap"
    assert 0 < found[0].size < 1e-4
    apart, found = gaps_joined(soup(ball, 1e-2))
    assert not found
    assert not apart.table.is_closed


def test_gaps_never_collapse_short_edges():
    """A fine rim: its edges are shorter than the reach along seams and must all survive."""
    n = 4000
    angle = np.linspace(0, 2 * np.pi, n, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle), np.zeros(n)]) * 1e-3
    points = np.vstack([ring, [[0, 0, 0]], [[0, 0, 1.0]]])
    here = np.arange(n)
    faces = np.column_stack([here, np.roll(here, -1), np.full(n, n)])
    faces = np.vstack([faces, [[0, 1, n + 1]]])
    draft = Draft(points, faces, np.arange(n + 1))
    kept, found = gaps_joined(draft)
    assert not found
    assert len(kept.vertices) == n + 2


def test_degenerate_faces_go_and_nothing_opens(ball):
    extra = np.vstack([ball.faces, [[5, 5, 9], [7, 8, 7]]])
    draft = Draft(ball.vertices, extra, np.arange(len(extra)))
    kept, found = without_degenerate(draft)
    assert kept.table.is_closed
    assert found[0].count == 2


def test_repeats_are_told_whichever_way_they_are_wound(ball):
    extra = np.vstack([ball.faces, ball.faces[0][[1, 2, 0]], ball.faces[7][[0, 2, 1]]])
    assert repeats(extra).tolist() == [len(ball.faces), len(ball.faces) + 1]
