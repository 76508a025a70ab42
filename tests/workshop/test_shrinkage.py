"""Shrinkage: sizes there and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.shrinkage import scale_factor, shrinkage

PERCENT = st.floats(-1.0, 5.0)


@given(st.lists(PERCENT, min_size=1, max_size=4), st.integers(1, 4))
def test_a_master_scaled_up_shrinks_back_to_size(percents: list[float], generations: int) -> None:
    size = 62.0 * scale_factor(percents, generations)
    for _ in range(generations):
        for percent in percents:
            size *= 1 - percent / 100
    assert size == pytest.approx(62.0, rel=1e-12)


@given(PERCENT, PERCENT, st.integers(1, 3))
def test_obtained_and_needed_are_the_same_factor(a: float, b: float, n: int) -> None:
    found = shrinkage(62.0, rubber_percent=a, resin_percent=b, generations=n)
    assert found.needed_mm / 62.0 == pytest.approx(62.0 / found.casting_mm)
    assert found.factor == pytest.approx(scale_factor((a, b)) ** n)


def test_what_was_measured_replaces_the_labels() -> None:
    found = shrinkage(100.0, rubber_percent=0.4, resin_percent=0.4, measured_percent=1.0,
                      bounds_percent=(0.8, 1.2), measured=3)  # fmt: skip
    assert (found.casting_mm, found.measured, found.low_percent) == (pytest.approx(99.0), 3, 0.8)


@pytest.mark.parametrize("percents", [(11.0,), (-6.0,), (float("nan"),)])
def test_a_shrinkage_that_cannot_be(percents: tuple[float, ...]) -> None:
    with pytest.raises(WorkshopError, match="cannot be meant"):
        scale_factor(percents)


def test_generations_and_size_that_cannot_be() -> None:
    with pytest.raises(WorkshopError, match="generations"):
        scale_factor((0.4,), 0)
    with pytest.raises(WorkshopError, match="master_mm"):
        shrinkage(0.0, rubber_percent=0.4, resin_percent=0.4)
