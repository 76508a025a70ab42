"""What is typed about a pull: read as a line of the log, or refused in words."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.errors import LogError
from partline.faces.log_places import places_mark
from partline.faces.pull_said import next_mould, said_pull
from partline.workshop.log import Log, Pull

TODAY = datetime.date(2027, 3, 4)
PLAN = fake_plan()


def said(**typed: Any) -> Pull:
    return said_pull(PLAN, **{"good": True, "mould": 1, "today": TODAY} | typed)


def test_everything_typed_stands_in_the_pull() -> None:
    pull = said(good=False, mould=3, day="2027-03-02", voids="1, other", length="49.6",
                pigment="1.5", note="thin; at the rim")  # fmt: skip
    assert (pull.date, pull.mould, pull.good) == (datetime.date(2027, 3, 2), 3, False)
    assert (pull.voids, pull.length_mm, pull.pigment_g) == ((0, 1), 49.6, 1.5)
    assert pull.note == "thin; at the rim"
    assert pull.places == places_mark(PLAN)


def test_what_was_not_looked_at_is_not_made_up() -> None:
    pull = said()
    assert pull.date == TODAY
    assert (pull.voids, pull.length_mm, pull.pigment_g, pull.places) == (None, None, None, "")
    assert said(voids="none").voids == ()


def test_a_bare_length_is_in_the_lengths_shown() -> None:
    # 1 in is 25.4 mm exactly (international inch, 1959).
    assert said(length="2", system="inches").length_mm == pytest.approx(50.8)
    assert said(length="2 in").length_mm == pytest.approx(50.8)
    assert said(length="4.96 cm", system="inches").length_mm == pytest.approx(49.6)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"good": None}, "good or bad"),
        ({"day": "yesterday"}, "not a date"),
        ({"day": "2027-03-05"}, "has not come yet"),
        ({"voids": "2"}, "the last one is 1"),
        ({"voids": "two"}, "whole number"),
        ({"length": "tall"}, "tall"),
        ({"length": "0"}, "cannot be meant"),
        ({"pigment": "1.5 mm"}, "mm"),
        ({"length": "49; bad"}, "49 bad"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(typed: dict[str, Any], words: str) -> None:
    with pytest.raises(LogError, match=words):
        said(**typed)


def test_the_mould_last_pulled_from_comes_next() -> None:
    assert next_mould(None) == 1
    assert next_mould(Log("a", "b", (Pull(4, TODAY, 2, True),), ())) == 2
