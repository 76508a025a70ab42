"""Words on the wrap: none over another, each near what it names, none off the paper."""

from __future__ import annotations

import numpy as np

from partline.faces.wrap_words import Placer, Words

WORDS = Words((("12  47 mm · 1 13/16 in", 3.4), ("tip 24° to the mouth", 2.8)))


def boxes_of(placer: Placer) -> np.ndarray:
    return np.asarray(placer._boxes)


def test_crowded_marks_get_words_that_do_not_overlap() -> None:
    """A line that doubles back on itself: six marks within a few millimetres."""
    y = np.linspace(20.0, 40.0, 21)
    line = np.column_stack([np.full(21, 60.0), y])
    placer = Placer(line, np.zeros(2), np.array([160.0, 90.0]))
    marks = [(60.0, 22.0), (60.0, 24.0), (60.0, 34.0), (61.0, 26.0), (61.0, 35.0), (60.5, 30.0)]
    for x, down in marks:
        placer.placed(WORDS, x, down, away=1)
    boxes = boxes_of(placer)
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            over = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
            assert over.min() <= 1e-9
        assert not np.any((line > a[:2]).all(axis=1) & (line < a[2:]).all(axis=1))
        assert np.hypot(*(np.clip(marks[i], a[:2], a[2:]) - marks[i])) < 30.0
    assert boxes[:, :2].min() >= 0.0
    assert np.all(boxes[:, 2:] <= [160.0, 90.0])


def test_a_lone_mark_has_its_words_on_the_side_asked_for_without_a_leader() -> None:
    for away in (1, -1):
        placer = Placer(np.array([[80.0, 40.0]]), np.zeros(2), np.array([160.0, 90.0]))
        drawn = placer.placed(WORDS, 80.0, 40.0, away=away)
        left, _, right, _ = boxes_of(placer)[0]
        assert left > 80.0 if away > 0 else right < 80.0
        assert "<path" not in drawn


def test_words_moved_away_are_led_to_their_mark() -> None:
    grid = np.stack(np.meshgrid(np.arange(50.0, 111.0), np.arange(35.0, 46.0)), axis=-1)
    placer = Placer(grid.reshape(-1, 2), np.zeros(2), np.array([200.0, 90.0]))
    assert "M80.00 40.00L" in placer.placed(WORDS, 80.0, 40.0, away=1)
