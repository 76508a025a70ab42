"""Parts of a loop on all cores: in order, told, and left at once."""

import threading
import time

import pytest

from partline.errors import Cancelled
from partline.geometry.cores import in_parts


def test_parts_come_back_in_order_and_cover_the_count_once():
    assert in_parts(lambda a, b: (a, b), 10, 4) == [(0, 4), (4, 8), (8, 10)]
    assert in_parts(lambda a, b: (a, b), 3, 4) == [(0, 3)]
    assert in_parts(lambda a, b: (a, b), 0, 4) == []


def test_progress_rises_to_one():
    heard = []
    in_parts(lambda a, b: b - a, 9, 2, progress=lambda f, w: heard.append((f, w)), words="at it")
    assert heard == [(k / 5, "at it") for k in range(1, 6)]


def test_cancelled_leaves_the_rest_undone():
    done, lock = [], threading.Lock()

    def work(start: int, stop: int) -> None:
        time.sleep(0.002)
        with lock:
            done.append(start)

    def stop(fraction: float, words: str) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        in_parts(work, 500, 1, progress=stop)
    assert len(done) < 100
    before = len(done)
    time.sleep(0.02)
    assert len(done) == before  # nothing goes on behind one's back


def test_an_error_in_a_part_is_heard():
    def work(start: int, stop: int) -> None:
        if start == 3:
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        in_parts(work, 8, 1)
