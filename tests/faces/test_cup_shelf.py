"""A cup by three measured numbers, in words and on the shelf."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.faces.cup_shelf import cup_words, measured_cup, put_on, taken_off


def test_three_numbers_make_a_cup():
    cup = measured_cup(" 9 oz ", "cup", {"rim": "77", "floor": "2 1/4 in", "height": "8.3cm"}, "mm")
    assert (cup.name, cup.rim_mm, cup.height_mm) == ("9 oz", 77.0, 83.0)
    assert cup.floor_mm == pytest.approx(57.15)
    assert cup_words(cup) == "9 oz: rim 77 mm, floor 57.1 mm, 83 mm high"
    assert "in high" in cup_words(cup, "inches")


def test_a_pipe_and_a_box():
    pipe = measured_cup("pipe", "pipe", {"rim": "100", "height": "200", "floor": "9"}, "mm")
    assert cup_words(pipe) == "pipe: rim 100 mm, 200 mm high"
    box = measured_cup("box", "box", {"rim": "10", "depth": "8", "height": "12"}, "cm")
    assert (box.rim_mm, box.depth_mm) == (100.0, 80.0)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("", {"rim": "77"}, "name"),
        ("a", {"rim": "77", "floor": "55"}, "height from the floor"),
        ("a", {"rim": "77", "height": "80"}, "width at the floor"),
        ("a", {"rim": "55", "floor": "77", "height": "80"}, "wrong way round"),
        ("a", {"rim": "wide", "floor": "55", "height": "80"}, "not a length"),
        ("a", {"rim": "-7", "floor": "55", "height": "80"}, "rim"),
    ],
)
def test_what_is_missing_or_cannot_be_is_said(name, typed, words):
    with pytest.raises(WorkshopError, match=words):
        measured_cup(name, "cup", typed, "mm")


def test_a_cup_of_the_same_name_gives_way():
    one = measured_cup("a", "cup", {"rim": "77", "floor": "55", "height": "80"}, "mm")
    two = measured_cup("a", "cup", {"rim": "90", "floor": "60", "height": "99"}, "mm")
    three = measured_cup("b", "pipe", {"rim": "90", "height": "99"}, "mm")
    shelf = put_on(put_on(put_on((), one), three), two)
    assert shelf == (three, two)
    assert taken_off(shelf, "b") == (two,)
