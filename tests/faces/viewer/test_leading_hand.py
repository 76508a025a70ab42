"""A hand on the picture: lines dragged, cuts kept, mouths compared, the block cut open."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from qtpy.QtCore import QPoint, Qt

from partline.cut.planning import plan_cut
from partline.faces import colours
from partline.faces.actor import turned_over
from partline.faces.viewer import mouth_stage
from partline.faces.workbench import job_of
from partline.job import MouthPart, load_job
from partline.mouths import MouthRow

pytestmark = pytest.mark.screen


@pytest.fixture(scope="module")
def really_cut(plan):
    """Return the knob's plan with a cut that was really planned on it, its underside known."""
    piece = plan.stand.piece
    low = piece.vertices[:, 2].min() + 1e-9
    under = (piece.vertices[piece.faces][:, :, 2] < low).all(axis=1)
    stand = replace(plan.stand, piece_faces=np.where(under, -1, plan.stand.piece_faces))
    return replace(plan, stand=stand, cut=plan_cut(stand, plan.detail, cuts=2))


@pytest.fixture
def planned(window, really_cut, mesh_file, qtbot):
    heard = []

    def planner(job, *, progress, earlier=None, log=None):
        heard.append(job)
        return replace(really_cut, job=job)

    window.errands._planner = planner
    window.bench.opened(mesh_file, really_cut.master)
    window.bench.change(height_mm=50.0, front_said=True, mouth_said=True)
    window.errands.work_out()
    qtbot.waitUntil(lambda: window.bench.plan is not None and not window.jobs.working())
    window.heard = heard
    return window


def _at(window, place) -> QPoint:
    """Return where a place of the stand lies in the picture."""
    view, plan = window.pane.view, window.bench.plan
    camera = view.camera
    along, up = np.array(camera.GetDirectionOfProjection()), np.array(camera.GetViewUp())
    right = np.cross(along, up) / np.linalg.norm(np.cross(along, up))
    spot = turned_over(np.asarray(place)[None], plan, window.bench.view.pour)[0]
    off = (spot - np.array(camera.GetFocalPoint())) / window.pane.per_point()
    return QPoint(round(view.width() / 2 + off @ right),
                  round(view.height() / 2 - off @ np.cross(right, along)))  # fmt: skip


def _drag(qtbot, widget, start, stop, steps=5):
    qtbot.mousePress(widget, Qt.LeftButton, pos=start)
    for k in range(1, steps + 1):
        qtbot.mouseMove(widget, start + (stop - start) * (k / steps))
        qtbot.wait(5)
    qtbot.mouseRelease(widget, Qt.LeftButton, pos=stop)
    qtbot.wait(30)


def _rubber(window) -> int:
    window.grab()  # paints what still waits to be
    picture = np.asarray(window.pane.view.screenshot(return_img=True))[..., :3].astype(int)
    return int((np.abs(picture - colours.rgb(colours.RUBBER)).max(axis=2) <= 3).sum())


def _settled(window) -> bool:
    return not window.bench.stale() and not window.jobs.working()


def test_a_line_is_dragged_said_in_the_job_and_undone(planned, qtbot, tmp_path) -> None:
    window, bench = planned, planned.bench
    window.strip.buttons["cut"].click()
    window.shows.sides["back"].click()
    qtbot.waitUntil(window.lines.ready, timeout=60_000)
    qtbot.wait(50)
    line = bench.plan.cut.lines[1].points
    eye = window.pane.eye()
    start = _at(window, line[-1])
    _drag(qtbot, window.pane.view, start, start + QPoint(0, -20))
    # The line moved and the piece did not turn.
    assert window.pane.eye() == pytest.approx(eye)
    (zone,) = bench.base.zones
    assert zone.kind == "end here"
    assert window.lines.end_mm > line[-1][2]
    assert "rubber stretches" in window.cut.led.text()
    qtbot.waitUntil(lambda: _settled(window))
    assert window.cut.led.text() == "Led by hand: 1 end."
    assert window.heard[-1].zones == (zone,)
    path = tmp_path / "knob.toml"
    window.errands.save(path)
    assert load_job(path).zones == (zone,)
    assert window.cut.free.isEnabled()
    window.menus.undo.trigger()
    assert bench.base.zones == ()
    window.menus.redo.trigger()
    assert bench.base.zones == (zone,)
    window.cut.free.click()
    assert bench.base.zones == ()


def test_the_middle_of_a_line_is_pulled_and_anything_else_still_turns(planned, qtbot) -> None:
    window, bench = planned, planned.bench
    window.strip.buttons["cut"].click()
    window.shows.sides["back"].click()
    qtbot.waitUntil(window.lines.ready, timeout=60_000)
    qtbot.wait(50)
    line = bench.plan.cut.lines[1].points
    spot = _at(window, line[int(np.argmin(np.abs(line[:, 2] - 28.0)))])
    _drag(qtbot, window.pane.view, spot, spot + QPoint(12, 0))
    assert [z.kind for z in bench.base.zones] == ["pass through"]
    qtbot.waitUntil(lambda: _settled(window))
    eye = window.pane.eye()
    _drag(qtbot, window.pane.view, QPoint(30, 60), QPoint(120, 60))
    assert window.pane.eye() != pytest.approx(eye)
    assert [z.kind for z in bench.base.zones] == ["pass through"]
    # On another stage a line is only looked at.
    window.strip.buttons["air"].click()
    assert not window.lines.ready()


def test_an_alternative_is_kept_and_let_go_again(planned, qtbot) -> None:
    window, bench = planned, planned.bench
    window.strip.buttons["cut"].click()
    assert not window.cut.keep.isEnabled()
    which = next(k for k, c in enumerate(bench.plan.cut.alternatives) if c.count == 1 and not c.led)
    window.cut.list.setCurrentRow(which)
    window.cut.keep.click()
    side = bench.plan.cut.alternatives[which].lines[0].side
    assert (bench.base.cut.cuts, bench.base.cut.sides) == (1, (side,))
    assert bench.view.choice is None
    qtbot.waitUntil(lambda: _settled(window))
    assert window.heard[-1].cut.sides == (side,)
    window.cut.many.activated.emit(0)
    assert bench.base.cut.sides == ()


def test_the_block_is_cut_open_turned_and_shut_again(planned, qtbot) -> None:
    window = planned
    qtbot.wait(50)
    assert _rubber(window) < 500
    window.shows.open.click()
    assert window.section.isVisible()
    qtbot.wait(50)
    # The cut face of the block is drawn flat, in the colour of rubber and no other.
    assert _rubber(window) > 20_000
    assert any(a.name == "cap rubber" for a in window.pane.shown)
    window.section.turn.setValue(90)
    qtbot.waitUntil(lambda: window.bench.view.section[0] == 90.0)
    assert "right" in window.section.words.text()
    window.section.shift.setFocus()
    qtbot.keyClick(window.section.shift, Qt.Key_Right)
    qtbot.waitUntil(lambda: window.bench.view.section[1] > 0)
    window.shows.open.click()
    assert not window.section.isVisible()
    assert all(a.clip is None for a in window.pane.shown)


def test_mouths_are_compared_looked_at_and_taken(planned, qtbot, monkeypatch) -> None:
    window, bench = planned, planned.bench
    base = MouthRow(
        "at the base", MouthPart(), 80.0, 310.0, 80.0, 310.0, 2, 88.0, 9.0, 0.22, 12.0, 113.0, 0.1
    )
    top = replace(base, name="on top", mouth=MouthPart(at="point", point=(0.0, 0.0, 50.0)))
    monkeypatch.setattr(
        mouth_stage, "compared", lambda job, _: mouth_stage.Compared(job, (base, top))
    )
    window.strip.buttons["stand"].click()
    window.stand.mouths.ask.click()
    qtbot.waitUntil(lambda: window.stand.mouths.list.count() == 2)
    window.stand.mouths.list.setCurrentRow(1)
    assert any(a.name == "other mouth" for a in window.pane.shown)
    window.stand.mouths.take.click()
    assert job_of(bench).stand.mouth == top.mouth
    assert bench.view.mouth is None
    qtbot.waitUntil(lambda: _settled(window))
    assert window.heard[-1].stand.mouth == top.mouth
    # The base can still be gone back to.
    window.stand.mouths.list.setCurrentRow(0)
    window.stand.mouths.take.click()
    assert job_of(bench).stand.mouth == MouthPart()
    window.menus.undo.trigger()
    assert job_of(bench).stand.mouth == top.mouth


def test_a_vent_is_dragged_over_the_piece_and_let_go_again(planned, qtbot) -> None:
    from test_vent_places import vented

    window, bench = planned, planned.bench
    vents = vented().resin_pour.vents
    pour = replace(bench.plan.resin_pour, vents=vents)
    bench.change(plan=replace(bench.plan, resin_pour=pour))
    window.strip.buttons["air"].click()
    window.shows.pours["resin"].click()
    assert window.hands.vents.ready()
    qtbot.wait(50)
    eye = window.pane.eye()
    start = _at(window, [14.0, 0.0, 20.0])
    _drag(qtbot, window.pane.view, start, _at(window, [0.0, -9.0, 25.0]))
    assert window.pane.eye() == pytest.approx(eye)
    assert len(bench.base.vents.at) == 2
    lift = bench.plan.stand.lift_mm
    assert bench.base.vents.at[1] == pytest.approx([-14.0, 0.0, 42.0 - lift], abs=1e-4)
    assert bench.base.vents.at[0][0] == pytest.approx(0.0, abs=1.0)
    assert bench.base.vents.at[0][2] == pytest.approx(25.0 - lift, abs=1.5)
    qtbot.waitUntil(lambda: _settled(window))
    window.menus.undo.trigger()
    assert bench.base.vents.at == ()
