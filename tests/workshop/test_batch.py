"""The smallest sensible batch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.batch import least_batch, least_for_scale_g
from partline.workshop.materials import defaults
from partline.workshop.mixing import mix

KNOWN = defaults()


@given(st.floats(1, 100), st.floats(1, 100), st.sampled_from([0.01, 0.1, 1.0]), st.floats(1, 20))
def test_from_there_on_no_rounding_breaks_the_ratio(
    small: float, large: float, step: float, more: float
) -> None:
    parts = {"hardener": small, "rubber": large}
    least = least_for_scale_g(parts, step)
    assert mix(least * more, parts, resolution_g=step).ratio_error <= 0.02 + 1e-9


def test_ten_to_one_on_a_tenth_of_a_gram() -> None:
    """0.05 g of 1/11 of 30 g is 2 % (arithmetic)."""
    assert least_for_scale_g({"hardener": 1, "rubber": 10}, 0.1) == pytest.approx(30.3, abs=0.05)
    thin = least_for_scale_g({"hardener": 1, "rubber": 1}, 0.1, by="volume",
                             densities={"hardener": 0.5, "rubber": 1.5})  # fmt: skip
    assert thin == pytest.approx(0.05 / 0.02 * (4 + 1.02 / 0.75))


def test_a_small_mass_of_resin_cures_badly() -> None:
    """About 100 g: supplier's notes on urethane casting."""
    parts = {"isocyanate part": 1.0, "polyol part": 1.0}
    found = least_batch(45.0, parts, 0.1, KNOWN, by="weight", densities=None, resin=True)
    assert (found.grams, found.enough) == (100.0, False)
    assert "45 g is less than the 100 g" in found.words[0]
    asked = least_batch(200.0, None, 0.1, KNOWN, by=None, densities=None, resin=True)
    assert asked.by_scale_g is None
    assert asked.enough
    rubber = least_batch(20.0, {"hardener": 1.0, "rubber": 10.0}, 0.1, KNOWN, by="weight",
                         densities=None, resin=False)  # fmt: skip
    assert not rubber.enough
    assert rubber.by_cure_g is None


def test_a_ratio_that_cannot_be() -> None:
    with pytest.raises(WorkshopError, match="parts: hardener"):
        least_for_scale_g({"hardener": 0.0, "rubber": 10.0}, 0.1)
