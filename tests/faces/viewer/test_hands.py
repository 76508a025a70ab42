"""Hands on the picture: the dial, tipping by a drag, painting, undo, and what is kept."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from qtpy.QtCore import QPoint, Qt

from partline.faces import colours
from partline.faces.keeping import kept_for
from partline.faces.painting import tinted
from partline.faces.viewer.window import Window
from partline.job import load_job

pytestmark = pytest.mark.screen


@pytest.fixture
def planned(window, plan, mesh_file, qtbot, monkeypatch):
    """Return a window with a plan that follows the job, as the real one does."""
    heard = []

    def planner(job, *, progress, earlier=None, log=None):
        progress(0.5, "following the air")
        heard.append(job)
        return replace(plan, job=job)

    window.errands._planner = planner
    window.bench.opened(mesh_file, plan.master)
    window.bench.change(height_mm=50.0, front_said=True)
    window.bench.change(mouth_said=True, asked=())
    window.prompt.button.click()
    qtbot.waitUntil(lambda: window.bench.plan is not None and not window.jobs.working())
    window.heard = heard
    return window


def _middle(window) -> QPoint:
    view = window.pane.view
    return QPoint(view.width() // 2, view.height() // 2)


def _drag(qtbot, widget, start, stop, steps=6):
    qtbot.mousePress(widget, Qt.LeftButton, pos=start)
    for k in range(1, steps + 1):
        qtbot.mouseMove(widget, start + (stop - start) * (k / steps))
        qtbot.wait(5)
    qtbot.mouseRelease(widget, Qt.LeftButton, pos=stop)
    qtbot.wait(30)


def test_a_click_on_the_dial_tips_the_block(planned, qtbot):
    planned.strip.buttons["air"].click()
    level = planned.air.now.text()
    dial = planned.air.dial
    at = dial.point_of((90.0, 15.0)).toPoint()
    qtbot.mouseClick(dial, Qt.LeftButton, pos=at)
    qtbot.waitUntil(lambda: planned.bench.view.tip is not None)
    azimuth, tilt = planned.bench.view.tip
    assert azimuth == pytest.approx(90.0, abs=4.0)
    assert tilt == pytest.approx(15.0, abs=1.0)
    assert planned.air.now.text() != level
    assert not planned.bench.view.moving
    planned.air.level.click()
    qtbot.waitUntil(lambda: planned.bench.view.tip is None)
    qtbot.keyClick(dial, Qt.Key_Left)
    qtbot.waitUntil(lambda: planned.bench.view.tip is not None)
    assert planned.bench.view.tip[1] == pytest.approx(2.0)
    assert planned.bench.can_undo()[1] is False


def test_a_drag_tips_the_block_only_while_that_is_on(planned, qtbot):
    planned.strip.buttons["air"].click()
    eye = planned.pane.eye()
    planned.air.hand.click()
    _drag(qtbot, planned.pane.view, _middle(planned), _middle(planned) + QPoint(80, 0))
    assert planned.bench.view.tip[1] > 5.0
    assert planned.pane.eye() == pytest.approx(eye)
    planned.air.hand.click()
    tip = planned.bench.view.tip
    _drag(qtbot, planned.pane.view, _middle(planned), _middle(planned) + QPoint(80, 0))
    assert planned.bench.view.tip == tip
    assert planned.pane.eye() != pytest.approx(eye)


def test_a_stroke_is_one_choice_worked_out_again_and_undone(planned, qtbot):
    planned.strip.buttons["cut"].click()
    planned.cut.tools["stay off"].click()
    _drag(qtbot, planned.pane.view, _middle(planned), _middle(planned) + QPoint(30, 10))
    zones = planned.bench.base.zones
    assert zones
    assert {z.kind for z in zones} == {"stay off"}
    assert {z.radius_mm for z in zones} == {4.0}
    qtbot.waitUntil(lambda: not planned.bench.stale() and not planned.jobs.working())
    assert planned.heard[-1].zones == zones
    planned.menus.undo.trigger()
    assert planned.bench.base.zones == ()
    assert not planned.bench.stale()
    planned.menus.redo.trigger()
    assert planned.bench.base.zones == zones


def test_drawing_paint_leaves_the_scene_s_colours_alone(planned, qtbot):
    plan = planned.bench.plan
    planned.strip.buttons["cut"].click()
    planned.cut.tools["stay off"].click()
    _drag(qtbot, planned.pane.view, _middle(planned), _middle(planned) + QPoint(30, 10))
    qtbot.waitUntil(lambda: not planned.bench.stale() and not planned.jobs.working())
    planned.strip.buttons["weigh"].click()
    planned.strip.buttons["cut"].click()
    assert (tinted(plan, (), False) == colours.rgb(colours.STONE)).all()


def test_stale_results_say_so_and_stopping_offers_to_go_on(planned, qtbot):
    begun = []

    def slowly(job, *, progress, earlier=None, log=None):
        begun.append(job)
        for k in range(1000):
            progress(k / 1000, "following the air")
            qtbot.wait_thread.wait(0.01)
        return None

    import threading

    qtbot.wait_thread = threading.Event()
    planned.errands._planner = slowly
    planned.strip.buttons["cut"].click()
    planned.cut.cuts.emit(1)
    qtbot.waitUntil(lambda: bool(begun))
    assert planned.strip.buttons["cut"].text().endswith("…")
    assert not planned.strip.buttons["air"].text().endswith("…")
    assert not planned.cut.words.isEnabled()
    assert planned.air.dial.isEnabled()
    # A newer choice takes the place of the one that is being worked out.
    planned.cut.cuts.emit(2)
    qtbot.waitUntil(lambda: len(begun) == 2, timeout=3000)
    assert begun[-1].cut.cuts == 2
    planned.prompt.stop.emit()
    qtbot.waitUntil(lambda: not planned.jobs.working(), timeout=3000)
    assert planned.prompt.question == "plan"
    assert planned.bench.base.cut.cuts == 2


def test_what_was_said_comes_back_after_a_crash(planned, plan, mesh_file, qtbot):
    planned.cut.cuts.emit(1)
    kept = kept_for(mesh_file)
    # Not the file that an earlier choice left.
    said = "cuts = 1"
    qtbot.waitUntil(lambda: kept.is_file() and said in kept.read_text("utf-8"), timeout=8000)
    again = Window(planned.errands._planner)
    qtbot.addWidget(again)
    again.open_path(mesh_file)
    qtbot.waitUntil(
        lambda: again.bench.plan is not None and not again.jobs.working(), timeout=30000
    )
    assert again.bench.base.cut.cuts == 1
    assert "is back" in again.notice.words.text()
    again.errands.save(mesh_file.with_suffix(".toml"))
    assert not kept.exists()
    assert load_job(mesh_file.with_suffix(".toml")).cut.cuts == 1
    assert again.settings.recent()[0] == mesh_file.with_suffix(".toml").resolve()
    again.close()


def test_what_was_saved_is_not_kept_beside_it_as_well(planned, mesh_file):
    """Else a job that was saved and closed would be told to hold choices that were not."""
    job = mesh_file.with_suffix(".toml")
    planned.cut.cuts.emit(1)
    planned.errands.save(job)
    planned.errands.keep_choices()
    assert not kept_for(job).exists()
    planned.cut.cuts.emit(2)
    planned.errands.keep_choices()
    assert "cuts = 2" in kept_for(job).read_text("utf-8")
    planned.bench.undo()
    planned.errands.keep_choices()
    assert not kept_for(job).exists()


def test_the_slider_tries_the_end_of_the_cut(planned, qtbot):
    planned.strip.buttons["cut"].click()
    planned.cut.chart.slider.setValue(100)
    first = planned.cut.end.text()
    planned.cut.chart.slider.setValue(390)
    assert planned.bench.view.knife_mm > 50.0
    assert planned.cut.end.text() != first
    planned.cut.list.setCurrentRow(0)
    assert planned.bench.view.choice == 0
    planned.strip.buttons["weigh"].click()
    assert planned.bench.view.knife_mm is None


def test_the_sample_is_one_click_away(window, qtbot, monkeypatch):
    opened = []
    monkeypatch.setattr(window.errands, "open_path", lambda path, _: opened.append(path))
    window.prompt.other.click()
    assert [Path(p).name for p in opened] == ["ram.toml"]


def test_arrow_keys_turn_the_piece(planned, qtbot):
    before = np.array(planned.pane.eye())
    qtbot.keyClick(planned.pane.view, Qt.Key_Right)
    qtbot.waitUntil(lambda: not np.allclose(planned.bench.view.eye, before))
    turned = np.degrees(np.arccos(np.clip(np.array(planned.pane.eye()) @ before, -1, 1)))
    assert 5.0 < turned < 15.0


def test_help_needs_no_network(window):
    window.show_help()
    text = window._help.toPlainText()
    assert "Ctrl+Shift+Z" in text
    assert "http" not in text
    window._help.close()
