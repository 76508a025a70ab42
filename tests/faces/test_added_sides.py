"""Sides added to a picture: the fewest that show what others hide, and what they are called."""

from __future__ import annotations

import numpy as np
import pytest

from partline.faces.added_sides import Eye, added_sides, side_words

WAYS = {"right": (1.0, 0.0, 0.0), "right too": (0.9, 0.1, 0.0), "top": (0.0, 0.0, 1.0)}


def seen(eye: Eye) -> list[str]:
    return [name for name, way in WAYS.items() if np.dot(eye, way) > 0.7]


def test_nothing_hidden_adds_nothing_and_looks_nowhere() -> None:
    def never(eye: Eye) -> list[str]:
        raise AssertionError(eye)

    assert added_sides([], never) == []


def test_first_the_side_that_shows_most_then_what_is_left() -> None:
    first, second = added_sides(list(WAYS), seen)
    assert {"right", "right too"} <= set(seen(first))
    assert set(WAYS) == {*seen(first), *seen(second)}


def test_of_sides_that_show_as_much_the_level_one() -> None:
    (only,) = added_sides(["right"], lambda eye: ["right"] if eye[0] > 0.2 else [])
    assert abs(only[2]) < 0.3


def test_what_no_side_shows_adds_none() -> None:
    assert added_sides(["inside"], seen) == []


@pytest.mark.parametrize(
    ("eye", "said"),
    [
        ((0.0, -1.0, 0.0), "front"),
        ((1.0, -1.0, 1.0), "right, front, from above"),
        ((-1.0, 0.1, -0.8), "left, from below"),
        ((0.0, 0.1, 1.0), "from above"),
    ],
)
def test_sides_in_words(eye: tuple[float, float, float], said: str) -> None:
    assert side_words(eye) == said
