"""Stills drawn beside other work; what draws them stands in for the drawing process."""

from __future__ import annotations

import time
from threading import Event
from typing import cast

import pytest

from partline.errors import Cancelled, MissingExtra
from partline.faces import stills_aside as aside
from partline.plan import Plan
from partline.progress import Progress, silent

PLAN = cast(Plan, object())


def test_other_work_goes_on_while_it_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    worked = Event()

    def stills(plan: Plan, *, progress: Progress) -> dict[str, bytes]:
        assert plan is PLAN
        assert worked.wait(5.0), "it drew before the other work, not beside it"
        time.sleep(0.05)
        return {"first": b"picture"}

    monkeypatch.setattr(aside, "stills", stills)
    told: list[str] = []
    with aside.stills_aside(PLAN) as answer:
        worked.set()
        assert answer(lambda _, words: told.append(words)) == {"first": b"picture"}
    assert told == ["Drawing the pictures"] * len(told)
    assert told


def test_drawing_ends_with_the_work_it_stands_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    ended: list[bool] = []

    def stills(plan: Plan, *, progress: Progress) -> dict[str, bytes]:
        try:
            while True:
                progress(0.5, "")
                time.sleep(0.01)
        except Cancelled:
            ended.append(True)
            raise

    monkeypatch.setattr(aside, "stills", stills)
    with pytest.raises(OSError, match="disk"), aside.stills_aside(PLAN):
        raise OSError("The disk is full.")
    assert ended == [True]


def test_a_computer_that_cannot_draw_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def stills(plan: Plan, *, progress: Progress) -> dict[str, bytes]:
        raise MissingExtra("no graphics")

    monkeypatch.setattr(aside, "stills", stills)
    with aside.stills_aside(PLAN) as answer, pytest.raises(MissingExtra, match="no graphics"):
        answer(silent)
