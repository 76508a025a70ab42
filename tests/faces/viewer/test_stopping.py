"""Stop is answered within a second, however long the work takes to its next report."""

from __future__ import annotations

import threading
import time

import pytest

from partline.errors import Cancelled

pytestmark = pytest.mark.screen


class Silent:
    """Work that reports only when it is told to."""

    def __init__(self) -> None:
        self.begun, self.go_on, self.ended = (threading.Event() for _ in range(3))

    def __call__(self, progress):
        self.begun.set()
        self.go_on.wait(20)
        try:
            progress(0.5, "half-way")
        except Cancelled:
            self.ended.set()
            raise
        return "result"


def test_stop_is_answered_within_a_second_and_nothing_of_it_is_taken(window, qtbot):
    work, taken = Silent(), []
    assert window.jobs.start(work, taken.append)
    assert work.begun.wait(5)
    begun = time.monotonic()
    window.prompt.stop.emit()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
    assert time.monotonic() - begun < 1.0
    assert not window.prompt.working.isVisible()
    # What is asked for next waits for its end, and then runs.
    assert window.jobs.start(lambda _: "next", taken.append)
    assert window.jobs.working()
    qtbot.wait(50)
    assert taken == []
    work.go_on.set()
    qtbot.waitUntil(lambda: taken == ["next"], timeout=5000)
    assert work.ended.is_set()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)


def test_what_waits_can_be_stopped_too(window, qtbot):
    work, taken = Silent(), []
    window.jobs.start(work, taken.append)
    assert work.begun.wait(5)
    window.jobs.stop()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
    window.jobs.start(lambda _: "next", taken.append)
    window.jobs.stop()
    assert not window.jobs.working()
    work.go_on.set()
    assert work.ended.wait(5)
    qtbot.waitUntil(lambda: window.jobs._thread is None, timeout=5000)
    assert taken == []


def test_closing_waits_for_work_that_was_let_go(window, qtbot):
    work = Silent()
    window.jobs.start(work, lambda _: None)
    assert work.begun.wait(5)
    window.jobs.stop()
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
    thread = window.jobs._thread
    assert not window.jobs.close(wait_ms=50)
    work.go_on.set()
    assert window.jobs.close()
    assert thread.isFinished()
