"""What cannot work on a computer is said before a window opens, never as a crash."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from partline.errors import MissingExtra
from partline.faces.viewer import errands, starting


class _Trial:
    """Stands in for the process that tries the screen."""

    def __init__(self, out: str, slow: bool = False) -> None:
        self.out, self.slow, self.killed = out, slow, False

    def communicate(self, timeout=None):
        if self.slow and not self.killed:
            raise subprocess.TimeoutExpired("trial", timeout)
        return self.out, ""

    def kill(self):
        self.killed = True


def test_no_screen():
    with pytest.raises(MissingExtra, match="no screen"):
        starting.judge_trial(_Trial(""))


def test_no_graphics_library():
    with pytest.raises(MissingExtra, match=r"cannot show 3D.*partline plan"):
        starting.judge_trial(_Trial("screen works\n"))


def test_a_screen_that_does_not_answer():
    trial = _Trial("", slow=True)
    with pytest.raises(MissingExtra, match="did not answer"):
        starting.judge_trial(trial)
    assert trial.killed


def test_a_missing_library_names_the_command(monkeypatch):
    monkeypatch.setattr(starting, "find_spec", lambda _: None)
    with pytest.raises(MissingExtra, match=r"pip install .partline\[window\]"):
        starting.check_installed()


@pytest.mark.screen
def test_a_working_screen_passes():
    starting.check_installed()
    starting.check_screen()


def test_without_a_screen_the_trial_ends_in_words(monkeypatch):
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    if not starting.sys.platform.startswith("linux"):
        pytest.skip("only Linux can be without a screen")
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    with pytest.raises(MissingExtra, match="no screen"):
        starting.check_screen()


def _run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", "from partline.faces.cli import run; run()", *arguments],
        capture_output=True, text=True, timeout=120, env=dict(os.environ, **environment),
    )  # fmt: skip


@pytest.mark.screen
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="breaks the driver of Linux")
@pytest.mark.parametrize("how", ["no driver", "no library", "too old"])
def test_a_broken_graphics_driver_gives_a_message_and_the_command_line_still_works(how, tmp_path):
    (tmp_path / "libGL.so.1").write_bytes(b"not a library")
    broken = {
        "no driver": {"LIBGL_DRIVERS_PATH": str(tmp_path)},
        "no library": {"LD_LIBRARY_PATH": str(tmp_path)},
        "too old": {"MESA_GL_VERSION_OVERRIDE": "1.4"},
    }[how]
    told = _run("view", **broken)
    assert told.returncode == 2
    words = "libGL.so.1" if how == "no library" else "graphics driver cannot show 3D"
    assert words in told.stderr
    assert "libgl1-mesa-dri" in told.stderr
    assert "partline plan" in told.stderr
    assert "Traceback" not in told.stderr
    if how == "no driver":
        mixed = _run("mix", "297g", "10:1", **broken)
        assert mixed.returncode == 0
        assert "297" in mixed.stdout


@pytest.mark.screen
def test_what_is_read_already_is_drawn_before_anything_is_worked_out(
    window, plan, mesh_file, qtbot, monkeypatch
):
    job = mesh_file.with_suffix(".toml")
    job.write_text(f"name = 'knob'\n[scan]\nfile = '{mesh_file.name}'\nheight = '50 mm'\n", "utf-8")
    begun = starting._begin_reading(job)
    begun.result(60)
    monkeypatch.setattr(errands, "read_any", None)
    drawn, before = [], []
    window.pane.view.render_window.AddObserver(
        "EndEvent", lambda *_: drawn.append({a.name for a in window.pane.shown})
    )

    def planner(job, *, progress, earlier=None, log=None):
        before.extend(drawn)
        return plan

    window.errands._planner = planner
    window.open_path(job, begun)
    qtbot.waitUntil(lambda: window.bench.plan is plan, timeout=30_000)
    assert any("piece" in names for names in before)


@pytest.mark.screen
def test_a_job_saved_away_from_its_scan_opens_again_where_the_scan_was_picked(
    window, mesh_file, qtbot, tmp_path
):
    """Also where reading it began before the window knew the folder."""
    far = tmp_path / "jobs"
    far.mkdir()
    job = far / "knob.toml"
    job.write_text(
        f"name = 'knob'\n[scan]\nfile = '{mesh_file.as_posix()}'\nheight = '50 mm'\n", "utf-8"
    )

    def opened(path, begun=None):
        window.notice.words.setText("")
        window.open_path(path, begun)
        qtbot.waitUntil(lambda: not window.jobs.working(), timeout=60_000)

    window.errands.work_out = lambda: None
    for begun in (None, starting._begin_reading(job)):
        opened(job, begun)
        assert "outside the folder" in window.notice.words.text()
        assert window.bench.path is None
    opened(mesh_file)
    assert window.settings.scans() == (mesh_file.resolve().parent,)
    opened(job, starting._begin_reading(job))
    assert window.bench.job_path == job
    window.errands.save(job)
    assert "--scans" in window.notice.words.text()
