"""The run and the log as sections to read on a screen."""

from __future__ import annotations

import datetime
import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
from fake_plan import fake_plan
from production_cases import production

from partline.faces.log_places import places_mark
from partline.faces.run_told import run_head, run_sections
from partline.plan import Plan
from partline.workshop.log import Fault, Log, Pull

DAY = datetime.date(2027, 3, 2)


def planned(log: Log | None = None) -> Plan:
    made = production(log)
    return replace(fake_plan(), run=made.run, production=made)


def section(plan: Plan, heading: str) -> tuple[str, ...]:
    return next(s.lines for s in run_sections(plan) if s.heading.startswith(heading))


def test_the_head_says_the_run_its_limit_and_the_yield() -> None:
    head = run_head(planned())
    assert head[0].endswith(f"{planned().run.days} working days.")
    assert head[1].startswith("What limits it: ")
    assert "block" not in " ".join(head)
    assert head[-1] == "Yield 85 %, usual, not yours."


def test_without_a_log_it_says_so_and_still_shows_the_rest() -> None:
    headings = [s.heading for s in run_sections(planned())]
    assert headings[:4] == ["What the log says", "Calendar", "Work on one piece", "Size"]
    assert section(planned(), "What the log") == ("No pull is written down yet.",)
    assert "Left out of the sum" in section(planned(), "Cost")[-1]


def test_the_log_is_told_in_counts_with_its_faults() -> None:
    mark = places_mark(fake_plan())
    pulls = (
        Pull(4, DAY, 1, True, (1,), places=mark),
        Pull(5, DAY, 1, False, (1, 0), places=mark),
    )
    log = Log("peg-log.txt", "hut peg", pulls, (Fault(6, "2027-03-0", "half written"),))
    plan = planned(log)
    said = section(plan, "What the log")
    assert said[0].startswith("Mould 1: 2 pulls, 1 good; ")
    assert "void seen on 2 of 2 castings." in " ".join(said)
    assert said[-1] == 'peg-log.txt, line 6: half written ("2027-03-0").'
    assert "Yield measured: 1 good of 2 pulls, 50 %." in " ".join(run_head(plan))


def test_a_plan_without_a_run_worked_out_has_only_its_head() -> None:
    plan = fake_plan()
    assert plan.production is None
    assert run_sections(plan) == ()
    assert run_head(plan)[0].startswith("24 good: 29 pulls")
