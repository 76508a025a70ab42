"""Filling and rocking played on the pour page, and the picture that keeps all of it in view."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from qtpy.QtCore import Qt
from test_playing import rocked

from partline.faces import colours, frames

pytestmark = pytest.mark.screen


@pytest.fixture
def pour(window, mesh_file, qtbot):
    """Return a window on a plan that is tipped and rocked, the pour page open."""

    def planner(job, *, progress, earlier=None, log=None):
        return replace(rocked(), job=job)

    window.errands._planner = planner
    window.bench.opened(mesh_file, rocked().master)
    window.bench.change(height_mm=50.0, front_said=True)
    window.bench.change(mouth_said=True, asked=())
    window.prompt.button.click()
    qtbot.waitUntil(lambda: window.bench.plan is not None and not window.jobs.working())
    qtbot.mouseClick(window.strip.buttons["pour"], Qt.LeftButton)
    # It is worked out beside the window first.
    assert "ready to be played" in window.pour.play.words.text()
    qtbot.waitUntil(window.pour.play.next.isEnabled, timeout=60_000)
    return window


def _pixels(window) -> np.ndarray:
    window.pane.view.render()
    return np.asarray(window.pane.view.screenshot(return_img=True)).astype(int)


def _air(picture: np.ndarray) -> int:
    return int((np.abs(picture - colours.rgb(colours.AIR).astype(int)).sum(axis=2) < 70).sum())


def test_next_and_back_go_through_the_steps(pour, qtbot):
    row = pour.pour.play
    assert "6 steps" in row.words.text()
    assert not row.back.isEnabled()
    tips = []
    for _ in row.steps:
        qtbot.mouseClick(row.next, Qt.LeftButton)
        tips.append(pour.bench.view.tip)
    assert tips == [None, (90.0, 15.0), None, (250.0, 60.0), (45.0, 40.0), None]
    assert pour.bench.view.pour == "resin"
    assert not row.next.isEnabled()
    qtbot.mouseClick(row.back, Qt.LeftButton)
    assert pour.bench.view.tip == (45.0, 40.0)
    assert row.words.text().startswith("5 of 6. Move 2 of 2: ")
    assert "hold it 20 s" in row.words.text()


def test_the_air_of_each_pose_is_drawn(pour, qtbot):
    row = pour.pour.play
    plain = _air(_pixels(pour))
    qtbot.mouseClick(row.next, Qt.LeftButton)
    level = _pixels(pour)
    assert _air(level) > plain + 50
    qtbot.mouseClick(row.next, Qt.LeftButton)
    assert (np.abs(_pixels(pour) - level).sum(axis=2) > 60).sum() > 3000


@pytest.fixture
def few_pictures(monkeypatch):
    """Let a turn and a filling take three pictures each; no step is left out."""
    for name in ("TURN", "FILL", "HOLD"):
        monkeypatch.setattr(frames, name, 3)


@pytest.mark.usefixtures("few_pictures")
def test_play_goes_on_by_itself_and_stops_at_the_end(pour, qtbot):
    row = pour.pour.play
    row.read_ms = row.frame_ms = 10
    pictures = []
    row.stepped.connect(pictures.append)
    qtbot.mouseClick(row.play, Qt.LeftButton)
    assert row.play.isChecked()
    qtbot.waitUntil(lambda: not row.play.isChecked(), timeout=60_000)
    assert row.at == len(row.steps) - 1
    assert not row.timer.isActive()
    # Between the steps the mould turns and the resin rises.
    assert {f.step for f in pictures} == set(range(len(row.steps)))
    assert any(0 < f.filled < 0.5 for f in pictures)
    assert any(f.tip is not None and 0 < f.tip[1] < 15 for f in pictures)
    # From the end it begins again; a second press stays where it is.
    row.read_ms = row.frame_ms = 60_000
    qtbot.mouseClick(row.play, Qt.LeftButton)
    assert row.at == 0
    qtbot.mouseClick(row.play, Qt.LeftButton)
    assert not row.timer.isActive()
    assert row.at == 0


def test_leaving_the_page_stops_it_and_stands_the_mould_up(pour, qtbot):
    row = pour.pour.play
    qtbot.mouseClick(row.next, Qt.LeftButton)
    qtbot.mouseClick(row.play, Qt.LeftButton)
    # On its way to being tipped.
    assert 0.0 < pour.bench.view.tip[1] < 15.0
    qtbot.mouseClick(pour.strip.buttons["weigh"], Qt.LeftButton)
    assert not row.timer.isActive()
    assert row.at == -1
    assert pour.bench.view.tip is None


def test_a_changed_choice_stops_it(pour, qtbot):
    row = pour.pour.play
    qtbot.mouseClick(row.play, Qt.LeftButton)
    pour.cut.cuts.emit(1)
    assert not row.timer.isActive()
    qtbot.waitUntil(lambda: not pour.bench.stale() and not pour.jobs.working(), timeout=5000)
    assert row.isEnabled()


def test_a_mould_that_is_kept_level_has_nothing_to_play(window):
    from test_page_after import untipped

    window.pour.follow(untipped(rocked()), "mm")
    assert window.pour.play.play.isEnabled()  # still rocked
    bare = untipped(rocked())
    bare = replace(bare, resin_pour=replace(bare.resin_pour, tipped=None, rocking=None))
    window.pour.follow(bare, "mm")
    assert not window.pour.play.play.isEnabled()
    assert not window.pour.play.next.isEnabled()
    assert "no steps" in window.pour.play.words.text()


def _filled_up(window) -> float:
    """Look at the cup from its front so that it all but fills the picture; return its scale."""
    window._look(window.bench.view.switched("cup", True).switched("labels", False))
    window.shows.sides["front"].click()
    camera = window.pane.view.camera
    fitted = camera.GetParallelScale()
    camera.SetParallelScale(0.96 * fitted)
    assert window.pane.holds(window.pane.shown)
    return fitted


def test_a_strong_tip_stays_in_the_picture_and_level_comes_back(pour):
    window = pour
    fitted = _filled_up(window)
    camera = window.pane.view.camera
    near = camera.GetParallelScale()
    window._look(window.bench.view.tipped((90.0, 40.0)))
    assert window.pane.holds(window.pane.shown)
    assert camera.GetParallelScale() > near
    window._look(window.bench.view.tipped(None))
    assert window.pane.holds(window.pane.shown)
    assert camera.GetParallelScale() == pytest.approx(fitted)


def test_the_picture_does_not_jump_under_a_dragging_hand(pour):
    window = pour
    _filled_up(window)
    camera = window.pane.view.camera
    before = camera.GetParallelScale()
    for tilt in (10.0, 25.0, 40.0):
        window._look(window.bench.view.tipped((90.0, tilt), moving=True))
    assert camera.GetParallelScale() == before
    assert not window.pane.holds(window.pane.shown)
    window._look(window.bench.view.tipped((90.0, 40.0)))
    assert window.pane.holds(window.pane.shown)


def test_who_has_come_nearer_stays_near(pour):
    window = pour
    window.shows.sides["front"].click()
    camera = window.pane.view.camera
    camera.SetParallelScale(0.3 * camera.GetParallelScale())
    near = camera.GetParallelScale()
    window._look(window.bench.view.tipped((90.0, 60.0)))
    assert camera.GetParallelScale() == near


def test_resin_is_seen_in_the_mould_while_it_is_played(pour, qtbot):
    def resin() -> int:
        pour.grab()
        picture = _pixels(pour)
        # Seen through the block it is paler, and still far more yellow than anything else.
        return int((picture[..., 0] - picture[..., 2] > 60).sum())

    before = resin()
    qtbot.mouseClick(pour.pour.play.next, Qt.LeftButton)
    assert resin() > before + 3000
    qtbot.mouseClick(pour.strip.buttons["air"], Qt.LeftButton)
    assert pour.bench.view.filled is None
    assert all(a.name != "resin" for a in pour.pane.shown)


def test_a_job_left_in_the_pour_opens_at_the_same_step(pour, qtbot, tmp_path):
    qtbot.mouseClick(pour.shows.open, Qt.LeftButton)
    for _ in range(2):
        qtbot.mouseClick(pour.pour.play.next, Qt.LeftButton)
    left = pour.bench.view
    assert left.section is not None
    pour.errands.save(tmp_path / "left.toml")
    pour.open_path(tmp_path / "left.toml")
    qtbot.waitUntil(lambda: pour.bench.view.tip is not None, timeout=60_000)
    assert (pour.stage, pour.pour.play.at) == ("pour", 1)
    assert pour.bench.view == left
