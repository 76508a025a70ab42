"""The page of the run, and the numbering its log follows."""

from __future__ import annotations

import dataclasses
import datetime
import sys
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
from production_cases import PLAN, plan

from partline.air.rocking_plan import Kept, RockingPlan
from partline.air.tipped_fill import TippedFill
from partline.faces.log_places import places_hold, places_mark
from partline.faces.page_pieces import Desk
from partline.faces.run_parts import run_page
from partline.faces.sheet import sheet_html
from partline.job import RunPart
from partline.plan import Plan
from partline.workshop.log import Fault, Log, Pull
from partline.workshop.materials import defaults

DAY = datetime.date(2027, 3, 2)


def words_of(value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return " ".join(words_of(v) for v in value)
    if dataclasses.is_dataclass(value):
        return " ".join(words_of(getattr(value, f.name)) for f in dataclasses.fields(value))
    return ""


def page(made: Plan) -> str:
    return words_of(run_page(Desk(made, "mm", "A4", None, defaults())).blocks)  # type: ignore[arg-type]


def test_without_a_log_there_is_one_to_fill_in_by_hand() -> None:
    text = page(plan(run=RunPart(good=24, start=datetime.date(2027, 3, 1))))
    for words in ("29 pulls", "2 moulds", "Calendar", "Mon 2027-03-01", "Order for the whole run",
                  "Work on one piece", "by your own rates", "By hand"):  # fmt: skip
        assert words in text


def test_with_a_log_the_page_says_what_was_measured_and_which_lines_are_wrong() -> None:
    pulls = tuple(Pull(k, DAY, 1, k > 3, (1,), 61.38) for k in range(18))
    log = Log("peg-log.txt", "hut peg", pulls, (Fault(30, "<b>&", "is not known here"),))
    text = page(plan(log, run=RunPart(good=24)))
    assert "Yield measured: 14 good of 18 pulls" in text
    assert "It replaces what was stated" in text
    assert "Shrinkage measured: 1 %" in text
    assert "Its end is near" in text
    assert "18 of 18 castings" in text
    assert "line 30" in text
    assert "By hand" not in text
    html = sheet_html(plan(log, run=RunPart(good=24)))
    assert "&lt;b&gt;&amp;" in html
    assert "<b>&" not in html


def test_a_plan_without_its_production_still_has_a_page() -> None:
    assert "29 pulls" in page(PLAN)


def test_the_numbering_has_a_mark_that_changes_with_the_places() -> None:
    made = plan()
    assert places_hold(made) == {1: False}
    assert places_mark(made) == places_mark(plan())
    level = made.resin_pour.level
    moved = dataclasses.replace(level.pockets[0], apex=level.pockets[0].apex + np.array([0, 9, 0]))
    pour = dataclasses.replace(made.resin_pour, level=dataclasses.replace(level, pockets=(moved,)))
    assert places_mark(dataclasses.replace(made, resin_pour=pour)) != places_mark(made)


def test_what_stays_after_standing_up_is_what_is_predicted() -> None:
    made = plan()
    pocket = made.resin_pour.level.pockets[0]

    def filled(left: float) -> Plan:
        fill = TippedFill(made.resin_pour.best.up, 90.0, 20.0, 0.9, 5.0, left, 30.0, 10.0, (left,),
                          ())  # fmt: skip
        return dataclasses.replace(
            made, resin_pour=dataclasses.replace(made.resin_pour, tipped=fill)
        )

    assert places_hold(filled(0.0)) == {1: False}
    assert places_hold(filled(0.05)) == {1: False}  # less than a ball of 0.5 mm, 0.065 mm3
    assert places_hold(filled(5.0)) == {1: True}
    for kept, holds in (((), False), ((Kept(5.0, pocket.apex, "narrow"),), True)):
        rocking = RockingPlan((), 5.0, 5.0, (), 0.0, kept, True, 48, 5.0, ())
        pour = dataclasses.replace(filled(5.0).resin_pour, rocking=rocking)
        assert places_hold(dataclasses.replace(made, resin_pour=pour)) == {1: holds}
