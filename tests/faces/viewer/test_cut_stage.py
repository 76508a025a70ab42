"""The cut's stage: seen from where the cut starts, once; then from where the eye was put."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from partline.cut.cut import OverFloor
from partline.faces.facing import facing

pytestmark = pytest.mark.screen


def _planned(window, plan, qtbot):
    window.bench.opened(Path("knob.ply"), plan.master)
    window.bench.change(height_mm=50.0, front_said=True, mouth_said=True, asked=())
    window.errands.work_out()
    qtbot.waitUntil(lambda: window.bench.plan is plan and not window.jobs.working(), timeout=5000)


def test_the_cut_faces_whoever_opens_its_stage_first(window, plan, qtbot):
    _planned(window, plan, qtbot)
    before = window.bench.view
    window.strip.buttons["cut"].click()
    wanted = np.array(facing(plan, before).eye)
    assert np.allclose(window.bench.view.eye, wanted)
    assert np.allclose(window.pane.eye(), wanted / np.linalg.norm(wanted), atol=1e-6)
    assert not np.allclose(wanted, before.eye, atol=0.1)
    # Turned away by hand, it is not turned back.
    window.shows.sides["left"].click()
    left = window.bench.view.eye
    window.strip.buttons["air"].click()
    window.strip.buttons["cut"].click()
    assert window.bench.view.eye == left


def _ask(box, words):
    which = next(k for k in range(box.count()) if words in box.itemText(k))
    box.setCurrentIndex(which)
    box.activated.emit(which)


def test_a_cut_over_the_floor_is_asked_for_and_said_as_on_the_sheet(window, plan, qtbot):
    _planned(window, plan, qtbot)
    low = float(plan.stand.piece.vertices[:, 0].min())
    over = OverFloor("right", (1.0, 0.0, 0.0), low + 10, low + 20, low + 25, 18.0)
    line = replace(plan.cut.lines[0], over=over)
    turned = replace(plan, cut=replace(plan.cut, lines=(line,)))
    window.errands._planner = lambda job, **_: replace(turned, job=job)
    window.strip.buttons["cut"].click()
    _ask(window.cut.many, "over the floor")
    qtbot.waitUntil(
        lambda: window.bench.plan is not plan and not window.jobs.working(), timeout=5000
    )
    assert window.bench.base.cut.cuts == "over the floor"
    assert "over the floor" in window.cut.many.currentText()
    said = window.cut.words.text()
    wall = plan.stand.wall_mm
    assert f"From the side it starts on: try at {wall + 10:.1f} mm across the floor" in said
    assert "beside the hinge, on the right" in said
    assert "mouth face" not in window.cut.end.text()
    # The slider's ring stands upright where the cut is tried, not level at that height.
    window.cut.chart.slider.setValue(20)
    ring = next(a for a in window.pane.shown if a.name == "knife").vertices
    assert np.ptp(ring[:, 0]) < 1e-9
    assert np.ptp(ring[:, 2]) == pytest.approx(plan.container.fill_height_mm)


def test_how_the_knife_ends_at_the_piece_is_asked_for(window, plan, qtbot):
    _planned(window, plan, qtbot)
    assert window.cut.inside.currentText().startswith("smooth")
    _ask(window.cut.inside, "jagged")
    assert window.bench.base.cut.next_to_piece == "jagged"
    assert window.cut.inside.currentText().startswith("jagged")
    # Only what is weighed and written is made again.
    assert "cut" not in window.bench.stale()
    window.bench.undo()
    assert window.cut.inside.currentText().startswith("smooth")
