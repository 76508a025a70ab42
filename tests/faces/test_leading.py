"""Leading the cut's line: what can be taken hold of, and what a drag says."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import RIM, SEAT, STEM, fake_plan

from partline.cut.alternatives import shared
from partline.cut.planning import plan_cut
from partline.faces.keeping_cut import kept_cut, led_at_all, unkept_cut
from partline.faces.leading import (
    handles,
    laid_tracks,
    lead_words,
    led_to,
    led_words,
    taken,
    took,
    tracks_key,
    unled,
)
from partline.faces.painting import place_on_stand
from partline.job import read_job, write_job


@pytest.fixture(scope="module")
def plan():
    """Return the plan of the knob with a cut that was really planned on it."""
    bare = fake_plan()
    piece = bare.stand.piece
    under = (piece.vertices[piece.faces][:, :, 2] < SEAT + 1e-9).all(axis=1)
    stand = replace(bare.stand, piece_faces=np.where(under, -1, bare.stand.piece_faces))
    return replace(bare, stand=stand, cut=plan_cut(stand, bare.detail, cuts=2))


@pytest.fixture(scope="module")
def tracks(plan):
    return laid_tracks(plan)


@pytest.fixture
def lines(plan):
    return [line.points for line in plan.cut.lines]


def test_both_ends_of_each_line_are_handles_and_each_place_on_one(plan, lines) -> None:
    found = handles(plan, (), lines)
    assert [(h.line, h.kind) for h in found] == [
        (0, "start here"), (0, "end here"), (1, "start here"), (1, "end here")]  # fmt: skip
    on_second = led_to(plan, "pass through", lines[1][9])
    beside = led_to(plan, "pass through", np.array([0.0, 0.0, 500.0]))
    more = handles(plan, (beside, on_second), lines)[4:]
    assert [(h.line, h.kind, h.zone) for h in more] == [(1, "pass through", 1)]
    np.testing.assert_allclose(more[0].place, lines[1][9], atol=1e-6)


def test_what_lies_under_the_pointer_is_taken_and_not_what_is_hidden(plan, lines) -> None:
    found = handles(plan, (), lines)
    end, along = lines[0][-1], np.array([0.0, -1.0, 0.0])
    eye = end - 300 * along
    near = taken(found, lines, eye + np.array([0.5, 0, 0]), along, within_mm=2.0)
    assert near is not None
    assert (near.line, near.kind) == (0, "end here")
    middle = lines[1][len(lines[1]) // 2]
    spot = taken(found, lines, middle - 300 * along, along, within_mm=2.0)
    assert spot is not None
    assert (spot.line, spot.kind, spot.zone) == (1, "pass through", -1)
    assert np.linalg.norm(spot.place - middle) <= 2.0
    off = middle + np.array([40.0, 0, 0]) - 300 * along
    assert taken(found, lines, off, along, within_mm=2.0) is None
    assert taken(found, lines, eye, along, within_mm=2.0, before_mm=200.0) is None


def test_a_dragged_start_end_and_place_are_said_each_in_its_own_way(plan, tracks, lines) -> None:
    start, end = handles(plan, (), lines)[2:]
    lead = took(plan, tracks, (), lines, start)
    trace = lead.to(start.place + np.array([0.0, 6.0, 0.0]))
    (zone,) = lead.said(trace)
    assert zone.kind == "start here"
    np.testing.assert_allclose(place_on_stand(plan, zone), trace.points[0], atol=1e-5)
    # Dragged again, the same start is moved and not another one added.
    again = took(plan, tracks, (zone,), lines, start)
    (moved,) = again.said(again.to(start.place))
    assert moved.kind == "start here"
    place = took(plan, tracks, (zone,), lines, replace(end, kind="pass through"))
    assert [z.kind for z in place.said(place.to(lines[1][5]))] == ["start here", "pass through"]
    lower = took(plan, tracks, (), lines, end)
    trace = lower.to(end.place + np.array([0, 0, 5.0]))
    assert lower.said(trace)[0].kind == "end here"
    assert trace.points[-1, 2] > end.place[2] + 1.0
    # On the lip, below the crest that leads to it, it cannot end: it would have ended before.
    x, y, z = lower.to(np.array([13.0, 13.0, RIM + 0.5])).points[-1]
    assert z > STEM - 1.5 or np.hypot(x, y) < 10.0
    assert "costs as much as" in lead_words(lower, trace, "mm")
    assert "rubber stretches" in lead_words(lower, trace, "mm")


def test_what_was_dragged_is_what_is_planned_and_what_the_job_file_says(plan, tracks, lines):
    lead = took(plan, tracks, (), lines, handles(plan, (), lines)[3])
    trace = lead.to(lines[1][-1] + np.array([0, 0, 4.0]))
    zones = lead.said(trace)
    job = plan.job.model_copy(update={"zones": zones})
    assert read_job(write_job(job), Path(), check_files=False).zones == zones
    cut = plan_cut(plan.stand, plan.detail, cuts=2, zones=zones)
    assert cut.lines[1].points[-1, 2] == pytest.approx(trace.points[-1, 2], abs=1e-3)
    assert cut.lines[1].cost == pytest.approx(trace.cost, rel=0.06)


def test_tracks_hold_while_lines_are_led_and_not_when_something_is_painted(plan, tracks) -> None:
    led = plan.job.model_copy(update={"zones": (led_to(plan, "start here", np.zeros(3)),)})
    assert tracks_key(replace(plan, job=led)) == tracks.key
    paint = led_to(plan, "start here", np.zeros(3)).model_copy(update={"kind": "stay off"})
    painted = plan.job.model_copy(update={"zones": (paint,)})
    assert tracks_key(replace(plan, job=painted)) != tracks.key
    assert unled((*led.zones, paint)) == (paint,)
    assert led_words((*led.zones, paint)) == "Led by hand: 1 start."
    assert led_words((paint,)) == ""


@pytest.mark.parametrize("led", [False, True])
def test_a_kept_alternative_is_planned_again_from_its_job_file(plan, led) -> None:
    every = list(enumerate(plan.cut.alternatives))
    which, one = next((k, c) for k, c in every if c.count == 1 and c.led == led)
    job = kept_cut(plan, plan.job, which)
    assert led_at_all(job)
    back = read_job(write_job(job), Path(), check_files=False)
    assert (back.cut, back.zones) == (job.cut, job.zones)
    again = plan_cut(plan.stand, plan.detail, cuts=back.cut.cuts, sides=back.cut.sides,
                     zones=back.zones)  # fmt: skip
    assert [line.side for line in again.lines] == [line.side for line in one.lines]
    mine, theirs = ([line.points for line in cut.lines] for cut in (again, one))
    # A hand cuts within 2 to 3 mm of a line.
    assert shared(mine, theirs, 3.0) > (0.9 if led else 0.999)
    assert unkept_cut(job).zones == ()
    assert not led_at_all(unkept_cut(job))


def test_an_alternative_over_the_floor_is_kept_as_one_and_led_by_no_hand(plan) -> None:
    which, one = next(
        (k, c) for k, c in enumerate(plan.cut.alternatives) if c.lines and c.lines[0].over
    )
    job = kept_cut(plan, plan.job, which)
    assert (job.cut.cuts, job.cut.sides) == ("over the floor", ())
    back = read_job(write_job(job), Path(), check_files=False)
    assert back.cut == job.cut
    assert laid_tracks(replace(plan, cut=one)).tracks == (None,)
