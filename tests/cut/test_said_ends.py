"""A line that is told where to start, where to end, and on which side to run."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from cut_solids import bollard, detail_of, standing

from partline.cut.layout import bearings, rim_of
from partline.cut.planning import plan_cut as whole_plan_cut
from partline.errors import JobError
from partline.job import ZonePart

plan_cut = partial(whole_plan_cut, prove=False)
STAND = standing(bollard(sections=48))
DETAIL = detail_of(STAND.piece)


def zone(kind: str, way_deg: float, height_mm: float, radius_mm: float = 1.5) -> ZonePart:
    """Return a place on the skin so far round from the front and so high, as a job says it."""
    points = STAND.piece.vertices
    way = np.degrees(np.arctan2(points[:, 0], -points[:, 1])) % 360
    skin = np.hypot(points[:, 0], points[:, 1]) > 3
    off = np.hypot((way - way_deg + 180) % 360 - 180, 3 * (points[:, 2] - height_mm))
    at = points[int(np.argmin(np.where(skin, off, np.inf)))]
    x, y, z = (float(v) for v in at - [0, 0, STAND.lift_mm])
    return ZonePart(kind=kind, point=(x, y, z), radius_mm=radius_mm)


@pytest.mark.parametrize("side", ["left", "right", "back"])
def test_a_line_runs_on_the_side_it_was_told(side: str) -> None:
    cut = plan_cut(STAND, DETAIL, sides=(side,))
    assert [line.side for line in cut.lines] == [side]
    assert any(len(other.lines) == 2 for other in cut.alternatives)


def test_a_line_starts_where_it_was_told_and_the_other_stays() -> None:
    plain = plan_cut(STAND, DETAIL, cuts=2)
    told = plan_cut(STAND, DETAIL, cuts=2, zones=[zone("start here", 120.0, STAND.seat_mm)])
    left, right = told.lines
    np.testing.assert_allclose(left.points, plain.lines[0].points)
    from partline.cut.demould import demould

    rings = demould(STAND.piece, STAND.seat_mm)
    step = 360.0 / len(rim_of(STAND))
    assert bearings(right.points[:1], rings)[0] == pytest.approx(120.0, abs=step)
    assert right.points[0, 2] == pytest.approx(STAND.seat_mm)


def test_all_lines_end_level_with_the_end_that_was_told_last() -> None:
    plain = plan_cut(STAND, DETAIL, cuts=2)
    end = plain.lines[0].points[-1, 2] - 6.0
    told = plan_cut(STAND, DETAIL, cuts=2, zones=[zone("end here", 130.0, end + 4),
                                                  zone("end here", 130.0, end)])  # fmt: skip
    heights = [line.points[-1, 2] for line in told.lines]
    assert heights[0] == pytest.approx(heights[1], abs=1e-9)
    assert heights[0] == pytest.approx(end, abs=1.0)
    assert {line.marks.likely_mm for line in told.lines} == {heights[0]}
    assert told.lines[0].marks.try_here_mm <= heights[0]
    # A shorter cut never asks less of the rubber.
    assert told.stretch >= plain.stretch
    assert told.web_mm > plain.web_mm


def test_what_cannot_be_is_said_in_words() -> None:
    with pytest.raises(JobError, match="from the rim of the mouth"):
        plan_cut(STAND, DETAIL, zones=[zone("start here", 180.0, STAND.top_mm - 10)])
    with pytest.raises(JobError, match="can end between"):
        plan_cut(STAND, DETAIL, zones=[zone("end here", 180.0, STAND.top_mm)])
    with pytest.raises(JobError, match="cannot be"):
        plan_cut(STAND, DETAIL, sides=("left", "back"))
    front = plan_cut(STAND, DETAIL, sides=("back",), zones=[zone("start here", 0.0, STAND.seat_mm)])
    assert any("on no line of this cut" in words for words in front.words)
