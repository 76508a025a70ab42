"""No raw coordinates reach a sculptor, and only what serves the knife stands beside it."""

from __future__ import annotations

import dataclasses
import re
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.faces.retold import cut_notes, retold, scan_retold
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


@pytest.mark.parametrize(
    "said",
    ["caught (near 17, -4, 50 mm): slit", "caught (17, -4, 50) mm: slit",
     "caught near 17, -4, 50 mm: slit", "caught (17.0, \u22124.0, 50.0) mm: slit"],
)  # fmt: skip
def test_a_point_is_said_as_a_place(plan: Plan, said: str) -> None:
    # the seat is at 12 mm, so 50 mm above the cup's floor is 38 mm above the base
    told = retold(said, plan.stand)
    assert "on the right" in told
    assert "38 mm up" in told
    assert not re.search(r"\d, -?\d", told)


def test_places_in_the_scan_count_from_the_base_not_from_the_cup(plan: Plan) -> None:
    # 38 mm above the master's lowest point, and so above the base it stands on
    assert scan_retold("1 hole filled, near (17, -4, 38) mm.", plan).endswith("38 mm up.")
    under = scan_retold("1 hole filled, near (0, -17, -3) mm.", plan)
    assert under == "1 hole filled, on the underside, at the front."


def test_places_in_the_scan_turn_with_a_mouth_of_ones_own(plan: Plan) -> None:
    over = np.diag([1.0, -1.0, -1.0, 1.0])
    over[2, 3] = 50.0  # on its head: front becomes back
    turned = dataclasses.replace(plan.stand.master, to_pose=over @ plan.master.to_pose)
    stand = dataclasses.replace(plan.stand, master=turned)
    told = scan_retold("near (17, -18, 38) mm", dataclasses.replace(plan, stand=stand))
    assert told == "low on the right, at the back, 12 mm up"


def test_a_grade_of_detail_is_said_in_words(plan: Plan) -> None:
    told = retold("cross detail of at least 0.53 of 1 (near 17, -4, 50 mm); this", plan.stand)
    assert told.startswith("cross detail of at least 0.53 of 1, “clear detail” (")
    plain = retold("plain skin only (detail 0.18 of 1 at most), at least", plan.stand)
    assert "(detail 0.18 of 1, “plain skin” at most)" in plain


def test_other_numbers_are_left_alone(plan: Plan) -> None:
    for said in ("From 46 to 54 mm.", "31 %, 42 %", "0.53 of 1", "1018 mm²."):
        assert retold(said, plan.stand) == said


def test_heights_become_depths_where_one_measures(plan: Plan) -> None:
    assert retold("46 mm above the cup's floor", plan.stand) == "46 mm below the mouth face"


def test_statistics_wait_until_the_last_pages(plan: Plan) -> None:
    words = ("Rubber is caught between limbs (near 0, 3, 50 mm): slit this bridge too.",
             "Laying the lips open bends them by about 8 % (estimate).",
             "Uncut, the rubber would have to stretch by 476 %.",
             "Something nobody has thought of yet.")  # fmt: skip
    refused = (
        "No line can go over the floor from the back: nothing faces the floor there.",
        "No way leads from the start to the end of the line on the left: 12 vertices.",
    )
    cut = dataclasses.replace(plan.cut, words=words + refused)
    beside, later = cut_notes(dataclasses.replace(plan, cut=cut), "mm")
    assert len(beside) == 2
    assert len(later) == 4
    assert beside[0].startswith("Rubber is caught")
    assert beside[1] == words[3]  # unknown words are shown early rather than late


def test_what_is_to_be_done_about_a_figure_is_not_put_off(plan: Plan) -> None:
    words = ("Driven on by about 4.0 kJ/m2 (estimate). It may run on by itself: blunt its end.",)
    cut = dataclasses.replace(plan.cut, words=words)
    beside, later = cut_notes(dataclasses.replace(plan, cut=cut), "mm")
    assert beside == ("The cut may run on by itself: blunt its end.",)
    assert later == ("Driven on by about 4.0 kJ/m2 (estimate).",)
