"""Ruled strips, and finding where they pass through themselves."""

from __future__ import annotations

import numpy as np

from partline.card.swept import crossings, strip


def test_a_flat_strip_does_not_cross_itself_and_a_split_leaves_a_gap() -> None:
    x = np.arange(5.0)
    low, high = np.column_stack([x, 0 * x, 0 * x]), np.column_stack([x, 0 * x, 0 * x + 10])
    whole = strip([low, high], np.zeros(0, np.int32))
    assert len(crossings(whole)) == 0
    assert np.isclose(whole.face_areas.sum(), 40.0)
    assert np.isclose(strip([low, high], np.array([1], np.int32)).face_areas.sum(), 30.0)


def test_a_strip_that_comes_back_through_itself_is_found() -> None:
    turn = np.linspace(0.0, 3.0 * np.pi, 50)
    # A loop whose end passes through its beginning.
    low = np.column_stack([np.cos(turn) + 0.1 * turn, np.sin(turn), 0 * turn])
    assert len(crossings(strip([low, low + np.array([0.0, 0.0, 3.0])], np.zeros(0, np.int32)))) > 0
