"""Two works at one time: what they give, what is heard of them, and how either ends the other."""

from __future__ import annotations

import threading
import time

import pytest

from partline.errors import Cancelled, CavityError, NoPath
from partline.progress import Progress
from partline.side_by_side import side_by_side


def tells_until_left(progress: Progress) -> None:
    for _ in range(2000):
        progress(0.5, "waiting")
        time.sleep(0.005)
    raise AssertionError("nobody told it to stop")


@pytest.mark.parametrize("at_once", [True, False])
def test_both_results_and_a_bar_that_only_grows(at_once: bool) -> None:
    told: list[tuple[float, str]] = []
    threads: set[int] = set()

    def work(name: str, length: int, progress: Progress) -> str:
        threads.add(threading.get_ident())
        for k in range(length):
            progress(k / length, name)
            time.sleep(0.02)
        progress(1.0, name)
        return name

    found = side_by_side(
        lambda heard: work("air", 12, heard),
        lambda heard: work("cut", 20, heard),
        shares=(0.25, 0.75),
        at_once=at_once,
        progress=lambda fraction, words: told.append((fraction, words)),
    )
    assert found == ("air", "cut")
    assert len(threads) == (2 if at_once else 1)
    assert threading.get_ident() not in threads
    fractions = [fraction for fraction, _ in told]
    assert fractions == sorted(fractions)
    assert fractions[-1] == pytest.approx(1.0)
    assert {words for _, words in told} >= {"air", "cut"}


def test_they_wait_for_nothing_of_each_other() -> None:
    meet = threading.Barrier(2, timeout=30.0)
    assert sorted(
        side_by_side(lambda _: meet.wait(), lambda _: meet.wait(), shares=(0.5, 0.5))
    ) == [0, 1]


def test_a_third_begins_when_one_of_the_first_two_is_done() -> None:
    begun = threading.Event()

    def waits(_: Progress) -> bool:
        return begun.wait(30.0)

    def begins(_: Progress) -> int:
        begun.set()
        return 3

    found = side_by_side(waits, lambda _: 2, begins, lambda _: 4, shares=(0.4, 0.4, 0.1, 0.1))
    assert found == (True, 2, 3, 4)


def test_cancelling_is_heard_by_both() -> None:
    def cancel(_fraction: float, _words: str) -> None:
        raise Cancelled

    begun = time.monotonic()
    with pytest.raises(Cancelled):
        side_by_side(tells_until_left, tells_until_left, shares=(0.5, 0.5), progress=cancel)
    assert time.monotonic() - begun < 5.0


@pytest.mark.parametrize("at_once", [True, False])
def test_an_error_of_one_ends_the_other(at_once: bool) -> None:
    def fails(_: Progress) -> None:
        raise NoPath("no line")

    with pytest.raises(NoPath, match="no line"):
        side_by_side(fails, tells_until_left, shares=(0.5, 0.5), at_once=at_once)
    if at_once:
        with pytest.raises(NoPath, match="no line"):
            side_by_side(tells_until_left, fails, shares=(0.5, 0.5))


def test_of_two_errors_the_first_work_s_is_told() -> None:
    meet = threading.Barrier(2, timeout=30.0)

    def fails(error: Exception) -> None:
        meet.wait()
        raise error

    for _ in range(20):
        with pytest.raises(CavityError):
            side_by_side(
                lambda _: fails(CavityError("air")),
                lambda _: fails(NoPath("cut")),
                shares=(0.5, 0.5),
            )
