"""Long chains: straight ones pass; short, crumbled, folded or crowded ones do not."""

import numpy as np
from bodies import plate

from partline.detail.long_chains import long_chains

BODY = plate(20, 20, 0.5, lambda x, _: 0 * x)
STRAIGHT = np.column_stack([np.arange(40), np.arange(1, 41)])  # along y = 0, 20 mm


def _kept(pairs, convex=None, least_mm=15.0, crowded=None):
    out = np.ones(len(pairs), dtype=bool) if convex is None else convex
    return long_chains(BODY, pairs, out, least_mm, crowded)


def test_long_or_short():
    assert _kept(STRAIGHT).all()
    assert not _kept(STRAIGHT, least_mm=20.5).any()
    parts = np.delete(STRAIGHT, 30, axis=0)  # 15 mm and 4.5 mm
    np.testing.assert_array_equal(_kept(parts), np.arange(39) < 30)
    assert len(_kept(STRAIGHT[:0])) == 0


def test_a_zigzag_is_no_edge():
    # Up and down between two rows of vertices: after averaging little more than half is left.
    up = np.arange(40)
    points = np.column_stack([up, up + 41]).ravel()
    comb = np.column_stack([points[:-1], points[1:]])
    assert not _kept(comb).any()
    assert long_chains(BODY, comb, np.ones(len(comb), dtype=bool), 15.0, smooth=False).all()


def test_folds_that_go_out_and_in_by_turns_are_no_edge():
    assert not _kept(STRAIGHT, np.arange(40) % 4 < 2, least_mm=2.0).any()
    assert _kept(STRAIGHT, np.arange(40) < 20, least_mm=9.0).all()


def test_crowded_for_more_than_half_its_length():
    assert _kept(STRAIGHT, crowded=np.arange(40) < 20).all()
    assert not _kept(STRAIGHT, crowded=np.arange(40) < 21).any()
