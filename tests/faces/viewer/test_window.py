"""The window from an empty picture to a sheet, as a person would go."""

from __future__ import annotations

import io
import threading
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from qtpy.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from qtpy.QtGui import QDropEvent

from partline.errors import ScanError, StandError
from partline.faces import colours
from partline.faces.viewer import errands, work

pytestmark = pytest.mark.screen


def _pixels(window) -> np.ndarray:
    window.pane.view.render()
    return np.asarray(window.pane.view.screenshot(return_img=True)).astype(int)


def _near(picture: np.ndarray, colour: str, within: int = 70) -> int:
    return int((np.abs(picture - colours.rgb(colour).astype(int)).sum(axis=2) < within).sum())


def _place_of(window, point) -> QPoint:
    """Return where a point of the scene is in the pane."""
    view = window.pane.view
    origin, along = window.pane.ray(view.width() / 2, view.height() / 2)
    up = np.array(view.camera.GetViewUp())
    right = np.cross(along, up) / np.linalg.norm(np.cross(along, up))
    up = np.cross(right, along)
    per = 2 * view.camera.GetParallelScale() / view.height()
    offset = np.asarray(point) - origin
    return QPoint(
        round(view.width() / 2 + offset @ right / per), round(view.height() / 2 - offset @ up / per)
    )


def _opened(window, plan, qtbot):
    window.bench.opened(Path("knob.ply"), plan.master)
    qtbot.waitUntil(lambda: window.prompt.question == "height", timeout=2000)


def _planned(window, plan, qtbot):
    _opened(window, plan, qtbot)
    window.prompt.height_text.setText("50")
    window.prompt.button.click()
    window.prompt.button.click()
    window.prompt.button.click()
    window.prompt.other.click()
    window.prompt.button.click()
    qtbot.waitUntil(lambda: window.bench.plan is plan and not window.jobs.working(), timeout=60_000)


def test_a_scan_is_opened_and_the_height_asked(window, mesh_file, qtbot):
    pytest.importorskip("partline.scan.reading")
    assert window.prompt.question == "scan"
    window.errands.open_path(mesh_file)
    qtbot.waitUntil(lambda: window.bench.master is not None, timeout=30000)
    assert window.prompt.question == "height"
    assert len(window.bench.master.surface.faces) == 6912
    assert "6,912 triangles" in window.piece.words.text()
    assert _near(_pixels(window), colours.STONE, 120) > 5000


def test_from_scan_to_first_screen_with_clicks_on_front_and_mouth(window, plan, qtbot):
    _opened(window, plan, qtbot)
    window.prompt.height_text.setText("2")
    window.prompt.height_unit.setCurrentText("in")
    window.prompt.button.click()
    assert window.bench.height_mm == pytest.approx(50.8)
    assert window.prompt.question == "front"
    # The right side of the piece becomes its front.
    window._look_from("right")
    qtbot.wait(50)
    edge = _place_of(window, (17.0, 0.0, 36.0))
    qtbot.mouseClick(window.pane.view, Qt.LeftButton, pos=edge)
    assert window.bench.front == "+x"
    assert window.prompt.question == "mouth"
    window._look_from("above")
    qtbot.wait(50)
    qtbot.mouseClick(window.pane.view, Qt.LeftButton, pos=_place_of(window, (0.0, 0.0, 50.8)))
    assert window.bench.mouth.point[2] > 45
    assert window.prompt.question == "cups"
    assert _near(_pixels(window), colours.MOUTH) > 50
    window.prompt.other.click()
    assert window.prompt.question == "plan"
    window.prompt.button.click()
    qtbot.waitUntil(lambda: window.bench.plan is plan, timeout=60_000)
    assert window.prompt.question == "done"
    text = window.prompt.lines.text()
    assert "50 mm tall" in text
    assert "ardener to 27.0" in text
    assert text.count("<p ") == 5


def test_a_click_beside_the_piece_and_a_drag_pick_nothing(window, plan, qtbot):
    _opened(window, plan, qtbot)
    window.prompt.height_text.setText("50")
    window.prompt.button.click()
    qtbot.mouseClick(window.pane.view, Qt.LeftButton, pos=QPoint(4, 4))
    assert window.prompt.question == "front"
    assert "beside the piece" in window.notice.words.text()
    middle = QPoint(window.pane.view.width() // 2, window.pane.view.height() // 2)
    before = window.pane.eye()
    qtbot.mousePress(window.pane.view, Qt.LeftButton, pos=middle)
    qtbot.mouseMove(window.pane.view, middle + QPoint(60, 5))
    qtbot.mouseRelease(window.pane.view, Qt.LeftButton, pos=middle + QPoint(60, 5))
    assert window.prompt.question == "front"
    assert window.pane.eye() != before


def test_sizing_by_two_points(window, plan, qtbot):
    _opened(window, plan, qtbot)
    window.prompt.other.click()
    assert window.prompt.question == "points"
    raw = window.bench.shown_surface()
    for z in (6.0, 18.0):
        window._look_from("front")
        qtbot.wait(30)
        qtbot.mouseClick(window.pane.view, Qt.LeftButton, pos=_place_of(window, (2.4, -8.7, z)))
    assert window.prompt.question == "distance"
    window.prompt.height_text.setText("24 mm")
    window.prompt.button.click()
    one, two = 6.0, 18.0
    assert window.bench.height_mm == pytest.approx(raw.extents[2] * 24.0 / (two - one), rel=0.03)
    assert window.prompt.question == "front"
    # A measured size does not change when the piece is laid over; a typed height would.
    scale = window.bench.shown_surface().extents[2] / raw.extents[2]
    window.stand.over.click()
    assert window.bench.shown_surface().extents == pytest.approx(scale * raw.extents[[0, 2, 1]])
    assert window.bench.height_mm == pytest.approx(window.bench.shown_surface().extents[2])


def test_what_is_wrong_is_said_in_the_window(window, plan, qtbot, monkeypatch):
    _opened(window, plan, qtbot)
    for typed, words in (("", "Type a length"), ("tall", "length"), ("-3", "more than nothing")):
        window.prompt.height_text.setText(typed)
        window.prompt.button.click()
        assert words in window.notice.words.text()
        assert window.bench.height_mm is None

    def refuse(path, progress, **_):
        raise ScanError("The file is empty. Export it again.")

    monkeypatch.setattr(errands, "read_any", refuse)
    window.errands.open_path(Path("empty.stl"))
    qtbot.waitUntil(lambda: "file is empty" in window.notice.words.text(), timeout=3000)
    assert window.notice.property("trouble")
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
    assert window.prompt.question == "height"


def test_an_unknown_fault_is_told_without_a_traceback(window, plan, qtbot, caplog):
    _planned(window, plan, qtbot)

    def broken(progress):
        raise ZeroDivisionError("by nothing")

    window.jobs.start(broken, lambda _: None)
    qtbot.waitUntil(lambda: "fault of partline itself" in window.notice.words.text(), timeout=3000)
    assert "Traceback" not in window.notice.words.text()
    assert any("background" in record.message for record in caplog.records)


def test_layers_and_pours_change_the_picture(window, plan, qtbot):
    _planned(window, plan, qtbot)
    window._look_from("back")
    before = _pixels(window)
    assert _near(before, colours.CUT) > 100
    window.shows.layers["cut"].click()
    without = _pixels(window)
    assert _near(without, colours.CUT) < 30
    window.shows.layers["air"].click()
    air = _pixels(window)
    assert (np.abs(air - without).sum(axis=2) > 60).sum() > 1000
    window.shows.layers["air"].click()
    window.shows.layers["cup"].click()
    assert (np.abs(_pixels(window) - without).sum(axis=2) > 10).sum() > 5000
    window._look_from("front")
    plain = _pixels(window)
    window.shows.layers["detail"].click()
    assert (
        _near(_pixels(window), colours.DETAIL_END, 110)
        > _near(plain, colours.DETAIL_END, 110) + 100
    )
    window.shows.pours["resin"].click()
    assert window.bench.view.pour == "resin"
    assert (np.abs(_pixels(window) - plain).sum(axis=2) > 60).sum() > 3000


def test_switching_twice_brings_the_same_picture_back(window, plan, qtbot):
    _planned(window, plan, qtbot)
    first = _pixels(window)
    for name in ("air", "detail", "cup", "air", "detail", "cup"):
        window.shows.layers[name].click()
    assert (np.abs(_pixels(window) - first).sum(axis=2) > 60).mean() < 0.002


def test_stages_in_the_order_of_the_bench(window, plan, qtbot):
    assert list(window.strip.buttons) == ["piece", "stand", "air", "cut", "weigh", "pour", "after"]
    assert not window.strip.buttons["air"].isEnabled()
    _planned(window, plan, qtbot)
    texts = {
        "air": "kept level",
        "cut": "firm pull",
        "weigh": "hardener to 27.0",
        "pour": "goes down by",
        "after": "29 pulls",
        "stand": "round base",
        "piece": "triangles",
    }
    for stage, words in texts.items():
        window.strip.buttons[stage].click()
        assert words in window.pages.currentWidget().words.text(), stage
    window.strip.buttons["air"].click()
    assert window.bench.view.shows("air")
    window.air.list.setCurrentRow(0)
    assert window.bench.view.selected == 0


def test_lengths_in_inches(window, plan, qtbot):
    _planned(window, plan, qtbot)
    window.shows.units["inches"].click()
    assert "in tall" in window.prompt.lines.text()
    assert " mm tall" not in window.prompt.lines.text()


def test_no_axis_is_shown_to_a_sculptor(window, plan, qtbot):
    from qtpy.QtWidgets import QAbstractButton, QLabel

    _planned(window, plan, qtbot)
    for stage in window.strip.buttons:
        window._open_stage(stage)
        for kind in (QLabel, QAbstractButton):
            for widget in window.findChildren(kind):
                said = widget.text() + " " + widget.toolTip()
                assert not any(a in said for a in ("+z", "-y", "+x", " axis", " Z ", " Y ")), said


def test_tooltips_are_sentences(window):
    from qtpy.QtWidgets import QAbstractButton

    tips = [b.toolTip() for b in window.findChildren(QAbstractButton) if b.toolTip()]
    assert len(tips) > 25
    for tip in tips:
        assert tip[0].isupper(), tip
        assert tip.endswith("."), tip


def test_the_sheet_is_written_and_said(window, plan, qtbot, monkeypatch, tmp_path):
    _planned(window, plan, qtbot)
    picture = io.BytesIO()
    Image.new("RGB", (4, 3), "white").save(picture, "PNG")
    drawn = {"first": picture.getvalue()}
    monkeypatch.setattr(work, "stills", lambda plan: drawn if plan else {})
    monkeypatch.setattr(errands.QFileDialog, "getExistingDirectory", lambda *_: str(tmp_path))
    window.prompt.button.click()
    qtbot.waitUntil(lambda: "bench sheet is" in window.notice.words.text(), timeout=120_000)
    assert "toadstool knob" in (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert "toadstool knob" in (tmp_path / "scene.html").read_text(encoding="utf-8")
    said = window.notice.words.text()
    assert "sheet.pdf, scene.html" in said
    # The plan built by hand has no cutting card, and says so.
    assert "no cutting card" in said
    assert not (tmp_path / "card.pdf").exists()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)


def test_a_job_is_saved_whole_and_opens_as_said(window, plan, qtbot, monkeypatch, tmp_path):
    from partline.job import load_job

    _opened(window, plan, qtbot)
    window.errands.save(tmp_path / "early.toml")
    assert "tall" in window.notice.words.text()
    assert not list(tmp_path.iterdir())
    (tmp_path / "knob.ply").write_text("ply", encoding="utf-8")
    window.bench.opened(tmp_path / "knob.ply", plan.master)
    window.bench.change(height_mm=50.0, front="+x", front_said=True, mouth_said=True)
    target = tmp_path / "knob"
    monkeypatch.setattr(errands.QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    window.errands.ask_save()
    job = load_job(tmp_path / "knob.toml")
    assert (job.scan.height_mm, job.scan.front) == (50.0, "+x")
    assert {p.name for p in tmp_path.iterdir()} == {"knob.ply", "knob.toml"}


def test_a_dropped_file_is_opened(window, monkeypatch, tmp_path):
    opened = []
    monkeypatch.setattr(window.errands, "open_path", lambda path, _: opened.append(path))
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(tmp_path / "a b.stl"))])
    window.dropEvent(QDropEvent(QPointF(5, 5), Qt.CopyAction, data, Qt.LeftButton, Qt.NoModifier))
    assert opened == [tmp_path / "a b.stl"]


def _slow(started):
    def plan_slowly(job, *, progress, earlier=None, log=None):
        started.set()
        for k in range(2000):
            progress(k / 2000, "following the air")
            threading.Event().wait(0.01)
        raise StandError("should have been stopped")

    return plan_slowly


def test_work_is_stopped_and_nothing_is_lost(window, plan, qtbot):
    _planned(window, plan, qtbot)
    started = threading.Event()
    window.errands._planner = _slow(started)
    window.bench.change(plan=None, planned=None)
    window.errands.work_out()
    qtbot.waitUntil(lambda: window.prompt.doing.text() == "Following the air", timeout=3000)
    assert window.prompt.working.isVisible()
    window.prompt.stop.emit()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
    assert window.notice.words.text() == "Stopped."
    assert window.prompt.question == "plan"
    assert window.bench.height_mm == 50.0


def test_closing_while_working_waits_for_the_work(window, plan, qtbot):
    _planned(window, plan, qtbot)
    started = threading.Event()
    window.errands._planner = _slow(started)
    window.bench.change(mouth_said=True)
    window.errands.work_out()
    assert started.wait(3)
    thread = window.jobs._thread
    window.close()
    assert thread.isFinished()
    assert not window.isVisible()


def test_only_one_piece_of_work_at_a_time(window, qtbot):
    hold = threading.Event()
    assert window.jobs.start(lambda _: hold.wait(3), lambda _: None)
    assert not window.jobs.start(lambda _: None, lambda _: None)
    hold.set()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)


def test_nothing_is_cut_off_in_a_small_window(window, plan, qtbot):
    from qtpy.QtWidgets import QAbstractButton

    window.resize(1280, 720)
    _planned(window, plan, qtbot)
    qtbot.wait(50)
    for button in window.findChildren(QAbstractButton):
        if button.isVisible() and button.text() and window.prompt.isAncestorOf(button):
            assert button.width() >= button.fontMetrics().horizontalAdvance(button.text())
            corner = button.mapTo(window, QPoint(button.width(), button.height()))
            assert corner.x() <= window.width()
            assert corner.y() <= window.height()
    for stage in window.strip.buttons:
        window._open_stage(stage)
        qtbot.wait(20)
        page = window.pages.currentWidget()
        assert page.widget().width() <= page.viewport().width(), stage
