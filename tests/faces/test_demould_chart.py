"""The demould chart and what it says at a height."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_plan import fake_plan

from partline.faces.demould_chart import chart_of, chart_words, stretch_at


def test_the_chart_spans_the_curve_and_marks_the_limit():
    cut = fake_plan().cut
    chart = chart_of(cut)
    assert (chart.low_mm, chart.high_mm) == (cut.curve.cut_to_mm[0], cut.curve.cut_to_mm[-1])
    assert chart.limit == pytest.approx(0.5)
    assert chart.share_of(chart.low_mm) == 0.0
    assert chart.share_of(1e9) == 1.0
    assert chart.snaking[:, 1].max() <= 1.0


def test_words_follow_the_height():
    cut = fake_plan().cut
    height = float(cut.curve.cut_to_mm[2])
    assert stretch_at(cut, height) == pytest.approx((cut.curve.snaking[2], cut.curve.straight[2]))
    assert "overstretched" in chart_words(cut, float(cut.curve.cut_to_mm[0]), "mm")
    assert "it comes out." in chart_words(cut, float(cut.curve.cut_to_mm[-1]), "mm")


def test_a_cut_without_a_curve_has_no_chart():
    cut = fake_plan().cut
    bare = replace(cut, curve=replace(cut.curve, snaking=np.full(6, np.inf)))
    assert chart_of(bare) is None
