"""The window's own thread is never busy for a tenth of a second, whatever is done in it."""

from __future__ import annotations

import os
from pathlib import Path
from time import sleep, thread_time

import pytest
from event_gaps import Gaps
from walking import Walk

from partline.faces.viewer.work import plan_job

pytestmark = pytest.mark.screen
_MOST_S = 0.1


@pytest.fixture
def walk(window):
    window.resize(1280, 720)
    gaps = Gaps(window.pane.view.render_window)
    yield Walk(window, gaps)
    gaps.close()


def test_what_keeps_the_thread_busy_is_seen_and_waiting_is_not(walk, qtbot) -> None:
    def busy(seconds: float) -> None:
        end = thread_time() + seconds
        while thread_time() < end:
            pass

    walk.gaps.do("busy", lambda: busy(0.12))
    walk.gaps.do("waiting", lambda: sleep(0.12))
    walk.gaps.do("drawing", walk.view.update)
    worst = walk.gaps.worst()
    assert worst["busy"].own_s > 0.12
    assert worst["waiting"].own_s < 0.05
    assert walk.gaps.slowest_drawing()["drawing"] > 0.0


def test_no_step_on_a_small_piece_keeps_it_waiting(walk, plan) -> None:
    bench = walk.window.bench
    bench.opened(Path("knob.ply"), plan.master)
    bench.change(height_mm=50.0, front_said=True, mouth_said=True, asked=())
    walk.press("plan", walk.window.prompt.button)
    assert bench.plan is plan
    walk.press("cut it open", walk.window.shows.open)
    walk.slide("turn the section", walk.window.section.turn, (-40, 25))
    assert {"plan", "cut it open", "turn the section"} <= set(walk.gaps.worst())
    assert max(gap.own_s for gap in walk.gaps.found) < _MOST_S


@pytest.mark.skipif(
    not (os.environ.get("PARTLINE_LONG") and os.environ.get("PARTLINE_SCANS")),
    reason="some minutes: PARTLINE_LONG=1, and PARTLINE_SCANS names the folder of scans",
)
def test_no_step_on_a_big_scan_keeps_it_waiting(walk, tmp_path) -> None:
    """218 000 triangles, through the whole window; the plan is worked out beside it."""
    walk.window.errands._planner = plan_job
    scan = Path(os.environ["PARTLINE_SCANS"]) / "eagle.ply"
    walk.questions(scan, "80", "+y", "+z")
    assert len(walk.window.bench.plan.stand.piece.faces) > 150_000
    for part in (walk.stages, walk.air, walk.section, walk.cut, walk.pour):
        part()
    walk.out(tmp_path)
    print(walk.tell())
    slow = {gap.step: gap for gap in walk.gaps.found if gap.own_s >= _MOST_S}
    assert not slow
