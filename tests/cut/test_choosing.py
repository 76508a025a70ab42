"""Which layout is chosen where no line can run up the back or a side."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from cut_solids import around, ball, cylinder, detail_of, solid, standing

from partline.cut.planning import plan_cut
from partline.errors import NoPath


@pytest.fixture(scope="module")
def hovering():
    """A ball over a nail that it does not touch: no line leads from the mouth up to it."""
    nail = cylinder(4.0, 0.0, 20.0, sections=48), cylinder(12.0, 16.0, 20.0, sections=48)
    return standing(solid(*nail, ball(15.0, 37.0, level=3)))


def test_left_to_itself_it_plans_no_cut_and_says_that_none_can_be_made(hovering) -> None:
    cut = plan_cut(hovering, detail_of(hovering.piece), prove=False)
    assert cut.count == 0
    assert cut.lines == ()
    assert cut.stretch == pytest.approx(2.0, abs=0.01)  # the head of 12 mm past the shank of 4
    assert cut.verdict.startswith("Will not come out")
    said = [words for words in cut.words if "no cut is planned" in words]
    assert len(said) == 1
    assert "another front or mouth" in said[0]
    assert any("No way leads from the mouth" in words for words in cut.words)


@pytest.mark.parametrize("cuts", [1, 2, "over the floor"])
def test_a_number_of_cuts_that_was_asked_for_is_refused(hovering, cuts) -> None:
    with pytest.raises(NoPath):
        plan_cut(hovering, detail_of(hovering.piece), cuts=cuts, prove=False)


def test_a_zone_that_shuts_every_line_is_for_the_hand_that_laid_it(hovering) -> None:
    shut = around(hovering.piece, 50, 54, 0, 180)[hovering.piece.faces].any(axis=1)
    wall = SimpleNamespace(kind="stay off", point=None, radius_mm=None,
                           faces=tuple((np.flatnonzero(shut) + 100).tolist()))  # fmt: skip
    with pytest.raises(NoPath, match="No way leads from the mouth"):
        plan_cut(hovering, detail_of(hovering.piece), zones=[wall], prove=False)
