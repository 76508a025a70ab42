"""Work on one piece."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import WorkshopError
from partline.workshop.materials import defaults
from partline.workshop.minutes import compared, minutes_for

KNOWN = defaults()


def test_by_hand() -> None:
    """11.5 a pull, two voids of 1.5, foot 2, priming 4: the usual figures of the data file."""
    found = minutes_for(KNOWN, seam_min=5.0, voids=2.0, yield_share=0.5)
    assert found.finishing_min == pytest.approx(5 + 3 + 2 + 4)
    assert found.each_min == pytest.approx(23 + 14)
    assert minutes_for(KNOWN, seam_min=5.0, voids=2.0, yield_share=0.5, foot=False).gate_min == 0.0


def test_brushed_ends_cost_every_pull() -> None:
    """Twelve ends of 5 s are a minute, paid on the pulls that fail too."""
    bare, brushed = (
        minutes_for(KNOWN, seam_min=5.0, voids=2.0, yield_share=0.5, brushed=n) for n in (0, 12)
    )
    assert brushed.casting_min - bare.casting_min == pytest.approx(1.0)
    assert brushed.each_min - bare.each_min == pytest.approx(2.0)


@given(st.floats(0, 60), st.floats(0, 20), st.floats(0.05, 1.0))
def test_more_seam_more_voids_or_less_yield_is_never_less_work(
    seam: float, voids: float, share: float
) -> None:
    one = minutes_for(KNOWN, seam_min=seam, voids=voids, yield_share=share).each_min
    vented = minutes_for(KNOWN, seam_min=seam, voids=voids, yield_share=share, vents=2)
    assert vented.each_min == pytest.approx(one + 2 * KNOWN.value("finish.vent_stub_min"))
    assert minutes_for(KNOWN, seam_min=seam + 1, voids=voids, yield_share=share).each_min > one
    assert minutes_for(KNOWN, seam_min=seam, voids=voids + 1, yield_share=share).each_min > one
    assert minutes_for(KNOWN, seam_min=seam, voids=voids, yield_share=share / 2).each_min > one


def test_a_choice_is_weighed_over_the_whole_run() -> None:
    a, b = compared(KNOWN, [("base", 6.0, 1.0, "out"), ("back", 3.0, 4.0, "out")], good=24,
                    yield_share=1.0)  # fmt: skip
    assert (a.chosen, b.chosen) == (True, False)
    # three minutes less of seam against three more voids of 1.5
    assert b.run_min - a.run_min == pytest.approx(24 * (3 * 1.5 - 3))


@pytest.mark.parametrize("wrong", [{"seam_min": -1.0}, {"voids": float("nan")},
                                   {"yield_share": 0.0}, {"yield_share": 1.01}])  # fmt: skip
def test_what_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(WorkshopError, match=next(iter(wrong))):
        minutes_for(KNOWN, **{"seam_min": 1.0, "voids": 1.0, "yield_share": 0.9, **wrong})
