"""Work beside other work: its answer, its error, and its end."""

from __future__ import annotations

import time
from threading import Event, get_ident

import pytest

from partline.errors import Cancelled
from partline.faces.aside import aside, told
from partline.progress import Progress, silent


def test_the_answer_comes_while_other_work_goes_on_and_waiting_is_told() -> None:
    other = Event()

    def work(_: Progress) -> int:
        assert other.wait(5.0), "it was done before the other work, not beside it"
        time.sleep(0.3)
        return 7

    heard: list[tuple[float, str]] = []
    with aside(work, "at it", usual_s=1.0) as answer:
        other.set()
        assert answer(lambda fraction, words: heard.append((fraction, words))) == 7
    assert [words for _, words in heard] == ["at it"] * len(heard)
    assert len(heard) > 1
    assert heard == sorted(heard)


def test_what_the_work_raises_is_raised_where_it_is_asked_for() -> None:
    def work(_: Progress) -> None:
        raise OSError("The disk is full.")

    with aside(work, "", usual_s=1.0) as answer, pytest.raises(OSError, match="disk"):
        answer(silent)


def test_it_ends_with_what_it_stands_beside() -> None:
    ended = Event()

    def work(progress: Progress) -> None:
        try:
            while True:
                progress(0.5, "")
                time.sleep(0.01)
        except Cancelled:
            ended.set()
            raise

    with pytest.raises(KeyboardInterrupt), aside(work, "", usual_s=1.0):
        raise KeyboardInterrupt
    assert ended.is_set()


def test_a_work_that_tells_nothing_is_told_of_from_the_thread_that_waits() -> None:
    heard: list[int] = []
    slow = lambda: time.sleep(0.5) or get_ident()  # noqa: E731
    done_in = told(slow, "slow", lambda *_: heard.append(get_ident()), usual_s=1.0)
    assert set(heard) == {get_ident()} != {done_in}
    assert len(heard) > 1
