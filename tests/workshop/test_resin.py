"""Resin for one casting."""

from __future__ import annotations

import pytest

from partline.errors import WorkshopError
from partline.workshop.resin import resin_for


def test_resin_by_hand() -> None:
    """65 mL at 1.05 g/mL is 68.25 g; with 8 % loss 73.71 g (arithmetic)."""
    found = resin_for(65000.0, 1.05, loss_share=0.08)
    assert found.casting_g == pytest.approx(68.25)
    assert found.mix_g == pytest.approx(73.71)
    assert found.mix is None


def test_a_small_casting_loses_at_least_a_few_grams() -> None:
    assert resin_for(10000.0, 1.0).mix_g == pytest.approx(15.0)  # common practice: min 5 g


def test_with_the_labels_ratio() -> None:
    found = resin_for(100000.0, 1.0, loss_share=0.0, loss_least_g=0.0,
                      parts={"isocyanate part": 100, "polyol part": 100})  # fmt: skip
    assert found.mix is not None
    assert found.mix.grams == (50.0, 50.0)


@pytest.mark.parametrize(
    "wrong", [(0.0, 1.0, 0.1), (1e5, -1.0, 0.1), (1e5, float("nan"), 0.1), (1e5, 1.0, 1.5)]
)
def test_what_cannot_be(wrong: tuple[float, float, float]) -> None:
    with pytest.raises(WorkshopError):
        resin_for(wrong[0], wrong[1], loss_share=wrong[2])
