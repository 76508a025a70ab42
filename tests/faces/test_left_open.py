"""From how much to how much: what filled holes leave open, by hand."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan
from page_text import desk

from partline.faces.left_open import (
    between,
    casting_open_g,
    grams_said,
    rubber_open_g,
    short_words,
    volume_said,
)
from partline.faces.page_sources import front_page
from partline.faces.sheet_blocks import Front
from partline.faces.sheet_sources import methods
from partline.faces.words import first_lines
from partline.plan import Plan


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def opened(plan: Plan, doubt_mm3: float) -> Plan:
    master = dataclasses.replace(plan.master, volume_mm3=36_000.0, volume_doubt_mm3=doubt_mm3)
    return dataclasses.replace(plan, master=master)


def test_two_ends_that_read_the_same_are_one() -> None:
    assert between(35.9, 36.1, lambda v: f"{v:.0f} mL") == "36 mL"
    assert between(34.0, 38.0, lambda v: f"{v:.0f} mL") == "between 34 mL and 38 mL"
    assert between(-1.0, 1.0, lambda v: f"{v:.0f} g") == "between 0 g and 1 g"


@pytest.mark.parametrize(
    ("doubt", "words", "tag"),
    [
        (0.0, "36 mL", "exact"),
        (1e-3, "36 mL", "estimate"),
        (4.0, "between 35.996 mL and 36.004 mL", "estimate"),
        (2000.0, "between 34 mL and 38 mL", "estimate"),
    ],
)
def test_the_volume_is_exact_only_where_nothing_was_filled(
    plan: Plan, doubt: float, words: str, tag: str
) -> None:
    said = volume_said(opened(plan, doubt).master, "mm")
    assert (said.words, said.tag) == (words, tag)


def test_grams_are_the_volume_times_the_density(plan: Plan) -> None:
    made = opened(plan, 2000.0)
    assert casting_open_g(made) == pytest.approx(2.0 * plan.resin.density)
    box = plan.container
    assert rubber_open_g(made) == pytest.approx(2000.0 * box.rubber_g / box.rubber_volume_mm3)
    assert grams_said(60.0, 0.01, "yours").tag == "yours"
    wide = grams_said(60.0, 2.1, "yours")
    assert (wide.words, wide.tag) == ("between 58 g and 62 g", "estimate")


def test_what_may_run_short_is_to_be_had_ready() -> None:
    assert short_words("resin", 66.0, 66.0) == ()
    assert "another 8 g of resin ready" in short_words("resin", 74.0, 66.0)[0]


def test_the_first_page_says_from_how_much_to_how_much(plan: Plan) -> None:
    assert first_lines(plan)[2].startswith("about ")
    assert first_lines(opened(plan, 9000.0))[2].startswith("between ")


def test_air_under_skin_that_is_made_up_is_no_exact_figure(plan: Plan) -> None:
    for doubt, tag in ((0.0, "exact"), (80.0, "exact"), (2000.0, "estimate")):
        made = opened(plan, doubt)
        (front,) = (b for b in front_page(desk(made)).blocks if isinstance(b, Front))
        assert front.lines[3][1] == tag
        assert any("from … to …" in m for m in methods(made)) == (doubt > 0)
