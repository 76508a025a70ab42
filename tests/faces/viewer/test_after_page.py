"""The last stage: a pull typed and written down beside the job, and counted at once."""

from __future__ import annotations

import datetime
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from qtpy.QtCore import Qt

sys.path.insert(0, str(Path(__file__).parents[2] / "workshop"))

from partline.faces.log_places import places_mark
from partline.faces.viewer.work import hash_of
from partline.samples import sample
from partline.workshop.log_reading import read_log

pytestmark = pytest.mark.screen

TODAY = datetime.date.today()


@pytest.fixture
def bench(window, plan, mesh_file, qtbot):
    """Return a window on a saved job whose run is really planned, the last stage open."""
    from production_cases import production

    def planner(job, *, progress, earlier=None, log=None):
        made = production(log)
        return replace(plan, job=job, run=made.run, production=made)

    window.errands._planner = planner
    window.bench.opened(mesh_file, plan.master)
    window.bench.change(height_mm=50.0, front_said=True)
    window.bench.change(mouth_said=True, asked=())
    window.prompt.button.click()
    _settled(window, qtbot)
    qtbot.mouseClick(window.strip.buttons["after"], Qt.LeftButton)
    return window


def _settled(window, qtbot):
    qtbot.waitUntil(
        lambda: (
            window.bench.plan is not None
            and not window.jobs.working()
            and not window.errands.behind()
        ),
        timeout=5000,
    )


def _saved(window, mesh_file) -> Path:
    path = mesh_file.with_name("knob.toml")
    window.errands.save(path)
    return path


def _type(qtbot, window, **typed):
    for name, text in typed.items():
        field = window.after.form.fields[name]
        qtbot.mouseClick(field, Qt.LeftButton)
        qtbot.keyClicks(field, text)


def _write(qtbot, window):
    qtbot.mouseClick(window.after.form.write, Qt.LeftButton)


def test_a_pull_is_written_beside_the_job_and_counted(bench, mesh_file, qtbot):
    log = _saved(bench, mesh_file).with_name("knob-log.txt")
    assert "Yield 85 %, usual, not yours." in bench.after.words.text()
    qtbot.mouseClick(bench.after.form.bad, Qt.LeftButton)
    _type(qtbot, bench, voids="1 other", length="61.6", pigment="1.5", note="thin at the rim")
    _write(qtbot, bench)
    found = read_log(log, bench.bench.base.name, scan=hash_of(mesh_file))
    (pull,) = found.pulls
    assert (pull.date, pull.mould, pull.good) == (TODAY, 1, False)
    assert (pull.voids, pull.length_mm, pull.pigment_g) == ((0, 1), 61.6, 1.5)
    assert pull.note == "thin at the rim"
    assert pull.places == places_mark(bench.bench.plan)
    _settled(bench, qtbot)
    assert bench.bench.plan.production.log == found
    assert "None of 1 pull in the log was good" in bench.after.words.text()
    # The form is empty again; a second, good one is counted too.
    form = bench.after.form
    assert not form.good.isChecked()
    assert not form.bad.isChecked()
    assert all(not field.text() for field in form.fields.values())
    qtbot.mouseClick(form.good, Qt.LeftButton)
    _write(qtbot, bench)
    _settled(bench, qtbot)
    assert "Yield measured: 1 good of 2 pulls, 50 %." in bench.after.words.text()
    assert "Mould 1: 2 pulls, 1 good" in bench.after.more.text()
    assert "void seen on 1 of 1 casting." in bench.after.more.text()


def test_what_is_wrong_is_said_and_stays_typed(bench, mesh_file, qtbot):
    log = _saved(bench, mesh_file).with_name("knob-log.txt")
    _write(qtbot, bench)
    assert "Say good or bad" in bench.notice.words.text()
    qtbot.mouseClick(bench.after.form.good, Qt.LeftButton)
    _type(qtbot, bench, length="tall")
    _write(qtbot, bench)
    assert "cannot be written down" in bench.notice.words.text()
    assert bench.notice.property("trouble")
    assert bench.after.form.fields["length"].text() == "tall"
    assert not log.exists()


def test_a_job_that_is_not_saved_has_no_place_for_a_log(bench, qtbot, mesh_file):
    qtbot.mouseClick(bench.after.form.good, Qt.LeftButton)
    _write(qtbot, bench)
    assert "Save the job" in bench.notice.words.text()
    assert not list(mesh_file.parent.glob("*-log.txt"))


def test_nothing_is_written_beside_the_sample(bench, qtbot):
    bench.bench.change(job_path=sample("ram.toml"))
    qtbot.mouseClick(bench.after.form.good, Qt.LeftButton)
    _write(qtbot, bench)
    assert "This is the sample" in bench.notice.words.text()
    assert not sample("ram.toml").with_name("ram-log.txt").exists()


def test_a_log_of_another_job_stops_no_plan_and_is_told(bench, mesh_file, qtbot):
    log = _saved(bench, mesh_file).with_name("knob-log.txt")
    log.write_text("job: a door knob\n2027-03-02; mould 1; good\n", encoding="utf-8")
    before = log.read_bytes()
    bench.bench.change(plan=None, planned=None)
    bench.errands.work_out()
    _settled(bench, qtbot)
    assert 'belongs to the job "a door knob"' in bench.notice.words.text()
    assert bench.bench.plan.production.log is None
    bench.strip.buttons["after"].click()
    qtbot.mouseClick(bench.after.form.good, Qt.LeftButton)
    _write(qtbot, bench)
    assert 'belongs to the job "a door knob"' in bench.notice.words.text()
    assert log.read_bytes() == before


def test_undoing_a_choice_takes_no_pull_back(bench, mesh_file, qtbot):
    _saved(bench, mesh_file)
    bench.cut.cuts.emit(1)
    _settled(bench, qtbot)
    bench.strip.buttons["after"].click()
    qtbot.mouseClick(bench.after.form.good, Qt.LeftButton)
    _write(qtbot, bench)
    _settled(bench, qtbot)
    bench.menus.undo.trigger()
    qtbot.waitUntil(lambda: not bench.bench.stale(), timeout=5000)
    _settled(bench, qtbot)
    assert len(bench.bench.plan.production.log.pulls) == 1


def test_the_picture_shows_the_numbers_the_voids_are_written_by(bench):
    view = bench.bench.view
    assert (view.pour, view.tip, view.shows("air")) == ("resin", None, True)


def test_what_limits_the_run_is_said_of_moulds(window, plan):
    window.after.follow(replace(plan, run=replace(plan.run, bottleneck="making the blocks")), "mm")
    assert "making the moulds" in window.after.words.text()
    assert "block" not in window.after.words.text()
