"""A job planned into a folder: the same in a process of its own, left at once wherever it is."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from partline import large_scan
from partline.errors import Cancelled
from partline.faces.cli import main
from partline.faces.planning import PLANNED, plan_into
from partline.job import load_job
from partline.samples import sample

ASKED = {"log": None, "pictures": False, "show": "mm", "form": "html", "paper": "A4",
         "spelling": "British"}  # fmt: skip
PLAN = ["plan", str(sample("pull.toml")), "--no-pictures", "--format", "html", "-o"]
# Whoever runs the tests may ignore interrupts, and that is inherited.
HEEDED = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
APART = "from partline import large_scan; large_scan.LARGE_BYTES = 0; "
RUN = "from partline.faces.cli import run; run()"


@pytest.fixture(autouse=True)
def no_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PARTLINE_SHELF", str(tmp_path / "shelf.toml"))


def test_a_large_scan_ends_in_the_same_files_and_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*PLAN, str(tmp_path / "here")]) == 0
    said = capsys.readouterr().out
    monkeypatch.setattr(large_scan, "LARGE_BYTES", 0)
    assert main([*PLAN, str(tmp_path / "apart")]) == 0
    assert capsys.readouterr().out == said.replace(str(tmp_path / "here"), str(tmp_path / "apart"))
    here, apart = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()}
        for name in ("here", "apart")
    )
    assert here == apart


@pytest.mark.parametrize(("share", "written"), [(0.5, False), (PLANNED + 0.06, True)])
def test_what_is_said_of_a_plan_that_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    share: float, written: bool,
) -> None:  # fmt: skip
    def stopped_at(*given, progress, **named):  # type: ignore[no-untyped-def]
        def stopping(fraction: float, words: str) -> None:
            progress(fraction, words)
            if fraction >= share:
                raise KeyboardInterrupt

        return plan_into(*given, progress=stopping, **named)

    monkeypatch.setattr("partline.faces.cli.plan_into", stopped_at)
    assert main([*PLAN, str(tmp_path / "plan")]) == 2
    told = capsys.readouterr()
    assert not told.out
    assert ("nothing was written" in told.err) is not written
    assert ("Each of its files is whole" in told.err) is written
    assert (tmp_path / "plan").exists() is written


def test_a_folder_that_holds_other_things_is_refused_before_any_work(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("Dear")
    told: list[str] = []
    with pytest.raises(Exception, match="holds 1 file"):
        plan_into(load_job(sample("pull.toml")), tmp_path, progress=lambda _, w: told.append(w),
                  **ASKED)  # fmt: skip
    assert told == []


def test_it_can_be_cancelled(tmp_path: Path) -> None:
    def stop(fraction: float, _words: str) -> None:
        if fraction > 0.1:
            raise Cancelled

    with pytest.raises(Cancelled):
        plan_into(load_job(sample("pull.toml")), tmp_path / "plan", progress=stop, **ASKED)
    assert not (tmp_path / "plan").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="sends an interrupt as a terminal does")
def test_an_interrupt_is_answered_within_a_second(tmp_path: Path) -> None:
    """Of a large scan, planned in a process of its own; a terminal interrupts both."""
    running = subprocess.Popen(
        [sys.executable, "-c", f"{HEEDED}{APART}{RUN}", *PLAN, str(tmp_path / "plan")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    time.sleep(3.0)
    begun = time.monotonic()
    os.killpg(running.pid, signal.SIGINT)
    out, told = running.communicate()
    assert time.monotonic() - begun < 1.0
    assert (running.returncode, out) == (2, "")
    assert told == "Stopped; nothing was written.\n"
    assert not (tmp_path / "plan").exists()
