from __future__ import annotations

import numpy as np

from partline.scan.draft import Draft
from partline.scan.turning import agreeing, disagreeing, turned


def test_the_turned_faces_are_found_exactly(ball):
    mask = np.random.default_rng(4).random(len(ball.faces)) < 0.3
    wrong = turned(ball, mask)
    np.testing.assert_array_equal(disagreeing(wrong.table).turn, mask)
    mended, found = agreeing(wrong)
    assert found[0].count == mask.sum()
    np.testing.assert_array_equal(np.sort(mended.faces, 1), np.sort(ball.faces, 1))
    assert mended.table.is_closed


def test_a_moebius_band_has_no_outside():
    n = 30
    here = np.arange(n)
    top, low = 2 * here, 2 * here + 1
    angle = 2 * np.pi * here / n
    width = np.column_stack(
        [np.cos(angle / 2) * np.cos(angle), np.cos(angle / 2) * np.sin(angle), np.sin(angle / 2)]
    )
    middle = np.column_stack([np.cos(angle), np.sin(angle), 0 * angle])
    points = np.empty((2 * n, 3))
    points[top], points[low] = middle + 0.2 * width, middle - 0.2 * width
    next_top, next_low = np.roll(top, -1), np.roll(low, -1)
    next_top[-1], next_low[-1] = 1, 0
    faces = np.vstack(
        [np.column_stack([top, low, next_top]), np.column_stack([low, next_low, next_top])]
    )
    draft = Draft(points, faces, np.arange(len(faces)))
    assert disagreeing(draft.table).one_sided.all()
    assert not agreeing(draft)[1]
