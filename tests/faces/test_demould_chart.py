"""The demould chart and what it says at a height."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.cut.cut import OverFloor
from partline.faces.demould_chart import chart_of, chart_words, likely_end, stretch_at


def test_the_chart_spans_the_curve_and_marks_the_limit():
    cut = fake_plan().cut
    chart = chart_of(cut)
    assert (chart.low_mm, chart.high_mm) == (cut.curve.cut_to_mm[0], cut.curve.cut_to_mm[-1])
    assert chart.limit == pytest.approx(0.5)
    assert chart.share_of(chart.low_mm) == 0.0
    assert chart.share_of(1e9) == 1.0
    assert chart.snaking[:, 1].max() <= 1.0


def test_words_follow_the_height():
    plan = fake_plan()
    cut = plan.cut
    height = float(cut.curve.cut_to_mm[2])
    assert stretch_at(cut, height) == pytest.approx((cut.curve.snaking[2], cut.curve.straight[2]))
    assert "overstretched" in chart_words(plan, float(cut.curve.cut_to_mm[0]), "mm")
    assert "it comes out." in chart_words(plan, float(cut.curve.cut_to_mm[-1]), "mm")


def test_over_the_floor_the_end_is_said_across_it_from_the_side_it_starts_on():
    plan = fake_plan()
    low = float(plan.stand.piece.vertices[:, 0].min())
    over = OverFloor("right", (1.0, 0.0, 0.0), low + 10, low + 20, low + 25, 18.0)
    line = replace(plan.cut.lines[0], over=over)
    turned = replace(plan, cut=replace(plan.cut, lines=(line,)))
    assert likely_end(line) == low + 20
    assert likely_end(plan.cut.lines[0]) == plan.cut.lines[0].marks.likely_mm
    said = chart_words(turned, likely_end(line), "mm")
    assert said.startswith(f"Cut {plan.stand.wall_mm + 20:.1f} mm across the floor: the rubber")
    assert "below the mouth face" not in said
    assert "below the mouth face" in chart_words(plan, 40.0, "mm")


def test_a_cut_without_a_curve_has_no_chart():
    cut = fake_plan().cut
    bare = replace(cut, curve=replace(cut.curve, snaking=np.full(6, np.inf)))
    assert chart_of(bare) is None
