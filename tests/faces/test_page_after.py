"""After a pull: the same numbers as in the tables, and nothing of steps that were not taken."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk, said

from partline.faces.page_after import after_page
from partline.plan import Plan, Pour


def levelled(pour: Pour) -> Pour:
    """Return a pour in which tipping gains nothing."""
    same = dataclasses.replace(pour.directions, tilt_deg=0.0, best=pour.level.up)
    return dataclasses.replace(pour, best=pour.level, directions=same)


def untipped(plan: Plan) -> Plan:
    return dataclasses.replace(plan, resin_pour=levelled(plan.resin_pour),
                               rubber_pour=levelled(plan.rubber_pour))  # fmt: skip


def test_tipped_empty_says_when_a_hole_would_be_there() -> None:
    page = said(after_page(desk(fake_plan())))
    assert "Only if it was not tipped: 1 of the table." in page
    assert "Only if it was not propped up: 1 of the table." in page


def test_kept_level_lists_what_stays() -> None:
    page = said(after_page(desk(untipped(fake_plan()))))
    assert "if it was not tipped" not in page.lower()
    assert page.count("as a ball across") == 2


def test_scraping_has_a_clock_and_a_side() -> None:
    page = said(after_page(desk(fake_plan())))
    assert "4 hours later" in page
    assert page.count("never on the left") + page.count("never on the right") == 2
    # scraping first: it cannot wait, filling can
    assert page.index("Scrape the parting line") < page.index("Holes to fill")


def test_no_foot_block_no_saw() -> None:
    plan = fake_plan()
    assert "Saw the foot off" in said(after_page(desk(plan)))
    flat = dataclasses.replace(plan, stand=dataclasses.replace(plan.stand, foot_block=None))
    assert "Saw the foot off" not in said(after_page(desk(flat)))
