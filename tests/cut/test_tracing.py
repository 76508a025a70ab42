"""A line traced under a hand: cheapest through the held place, and where it may run."""

from __future__ import annotations

import numpy as np
import pytest
from cut_solids import bollard, detail_of, standing

from partline.cut.planning import plan_cut
from partline.cut.readying import ready_bench
from partline.cut.tracing import held, track_of
from partline.errors import NoPath
from partline.geometry.paths import cheapest_path

STAND = standing(bollard(sections=48))
DETAIL = detail_of(STAND.piece)
BENCH = ready_bench(STAND, DETAIL)
END = BENCH.depth.marks.likely_mm
TRACK = track_of(BENCH, "right", END)
OPEN = np.flatnonzero(TRACK.open)
TARGETS = TRACK.targets(END)


def test_the_free_line_is_that_of_the_plan_within_the_error_of_the_graph() -> None:
    line = plan_cut(STAND, DETAIL, cuts=1, sides=("right",)).lines[0]
    free = held(TRACK, [TRACK.sources, OPEN, TARGETS], 1).moved_to(line.points[20])
    # The graph is at most 3 % dearer (`partline.geometry.paths`); the plan's line is clipped
    # level within an edge of where the traced one ends.
    edge = 2.0
    assert 0.97 * line.cost - 6 * edge <= free.cost <= 1.03 * line.cost + 6 * edge


@pytest.mark.parametrize("seed", range(6))
def test_through_a_place_it_is_the_cheapest_way_there_and_on(seed: int) -> None:
    place = TRACK.points[np.random.default_rng(seed).choice(OPEN)]
    hold = held(TRACK, [TRACK.sources, OPEN, TARGETS], 1)
    trace = hold.moved_to(place)
    vertex = TRACK.nearest(place)
    legs = (cheapest_path(TRACK.network, TRACK.sources, [vertex]),
            cheapest_path(TRACK.network, [vertex], TARGETS))  # fmt: skip
    assert trace.cost == pytest.approx(sum(leg.cost for leg in legs), rel=1e-9)
    np.testing.assert_allclose(trace.place, TRACK.points[vertex])
    assert (np.linalg.norm(trace.points - trace.place, axis=1) < 1e-9).any()


def test_a_held_start_stays_on_the_rim_and_a_held_end_below_the_last_mark() -> None:
    start = held(TRACK, [TRACK.sources, TARGETS], 0).moved_to(np.array([0.0, 99.0, 40.0]))
    assert start.points[0, 2] == pytest.approx(STAND.seat_mm)
    np.testing.assert_allclose(start.place, start.points[0])
    free = OPEN[TRACK.points[OPEN, 2] <= TRACK.never_past_mm]
    end = held(TRACK, [TRACK.sources, free], 1).moved_to(np.array([30.0, 0.0, 500.0]))
    np.testing.assert_allclose(end.place, end.points[-1])
    assert END < end.points[-1, 2] <= BENCH.depth.marks.never_past_mm


def test_other_places_are_still_passed_through() -> None:
    low, high = (int(OPEN[np.argmin(np.abs(TRACK.points[OPEN, 2] - z))]) for z in (25.0, 45.0))
    hold = held(TRACK, [TRACK.sources, np.array([low]), OPEN, np.array([high]), TARGETS], 2)
    trace = hold.moved_to((TRACK.points[low] + TRACK.points[high]) / 2)
    for vertex in (low, high):
        assert (np.linalg.norm(trace.points - TRACK.points[vertex], axis=1) < 1e-9).any()


def test_a_line_of_sight_beside_the_piece_moves_it_to_its_edge() -> None:
    hold = held(TRACK, [TRACK.sources, OPEN, TARGETS], 1)
    sight = np.array([0.0, 1.0, 0.0])
    trace = hold.moved_to(np.array([60.0, -200.0, 40.0]), sight)
    gaps = np.hypot(*(TRACK.points[hold.among] - [60.0, 0.0, 40.0])[:, [0, 2]].T)
    assert np.hypot(*(trace.place - [60.0, 0.0, 40.0])[[0, 2]]) == pytest.approx(gaps.min())


def test_a_line_that_can_be_led_nowhere_is_refused() -> None:
    shut = np.flatnonzero(~TRACK.open)
    with pytest.raises(NoPath, match="nowhere else"):
        held(TRACK, [TRACK.sources, shut, TARGETS], 1)


def test_no_line_to_a_held_end_has_been_so_high_before() -> None:
    free = OPEN[TRACK.points[OPEN, 2] <= TRACK.never_past_mm]
    hold = held(TRACK, [TRACK.sources, free], 1)
    assert hold.before is not None
    for vertex in hold.among[::97]:
        chain = hold.before.chain(int(vertex))
        heights = TRACK.points[chain, 2]
        assert (heights[:-1] < heights[-1]).all()
        peak = hold.before.peak(TRACK.points[:, 2])[vertex]
        assert peak == (heights[:-1].max() if len(chain) > 1 else -np.inf)
