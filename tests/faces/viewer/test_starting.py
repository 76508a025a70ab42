"""What cannot work on a computer is said before a window opens, never as a crash."""

from __future__ import annotations

import subprocess

import pytest

from partline.errors import MissingExtra
from partline.faces.viewer import starting


def _trial(monkeypatch, code: int, out: str):
    def run(command, **rest):
        return subprocess.CompletedProcess(command, code, out, "")

    monkeypatch.setattr(starting.subprocess, "run", run)


def test_no_screen(monkeypatch):
    _trial(monkeypatch, -6, "")
    with pytest.raises(MissingExtra, match="no screen"):
        starting.check_screen()


def test_no_graphics_library(monkeypatch):
    _trial(monkeypatch, -11, "screen works\n")
    with pytest.raises(MissingExtra, match=r"cannot show 3D.*partline plan"):
        starting.check_screen()


def test_a_screen_that_does_not_answer(monkeypatch):
    def run(command, *, timeout, **rest):
        raise subprocess.TimeoutExpired(command, timeout)

    monkeypatch.setattr(starting.subprocess, "run", run)
    with pytest.raises(MissingExtra, match="did not answer"):
        starting.check_screen()


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
