"""Two works that do not wait for each other, done at one time, heard of as one."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import FIRST_EXCEPTION, Future, ThreadPoolExecutor, wait
from threading import Event
from typing import Any, TypeVar

from partline.errors import Cancelled
from partline.progress import Progress, silent

First = TypeVar("First")
Second = TypeVar("Second")

_TOLD_S = 0.05


def side_by_side(
    first: Callable[[Progress], First],
    second: Callable[[Progress], Second],
    *,
    share: float,
    at_once: bool = True,
    progress: Progress = silent,
) -> tuple[First, Second]:
    """Return what two works give, each done in a thread of its own.

    `progress` is called from the thread of the caller only; whatever it raises is heard by both
    works the next time they tell of themselves. So is an error of the other.

    Parameters
    ----------
    first, second : callable
        Of a progress callable of its own.
    share : float
        Of the first in the time that both take [0 to 1].
    at_once : bool
        Otherwise the second begins when the first is done: half of the memory.
    progress : Progress

    Raises
    ------
    Exception
        Of the first; else of the second.
    """
    left = Event()
    told = [(0.0, ""), (0.0, "")]

    def listener(which: int) -> Progress:
        def tell(fraction: float, words: str) -> None:
            if left.is_set():
                raise Cancelled
            told[which] = (fraction, words)

        return tell

    def both() -> None:
        # The words of the one that has farther to go: they do not flicker.
        (one, words), (other, others) = told
        said = words if one <= other or not others else others
        progress(share * one + (1.0 - share) * other, said)

    with ThreadPoolExecutor(2 if at_once else 1) as pool:
        try:
            running: list[Future[Any]] = [
                pool.submit(first, listener(0)),
                pool.submit(second, listener(1)),
            ]
            while wait(running, timeout=_TOLD_S, return_when=FIRST_EXCEPTION).not_done:
                if any(work.done() and work.exception() for work in running):
                    break
                both()
            both()
        finally:
            left.set()
    return _given(running[0], running[1])


def _given(first: Future[First], second: Future[Second]) -> tuple[First, Second]:
    """Return both results; an error that a work met itself goes before one it was told to stop."""
    met = [e for e in (first.exception(), second.exception()) if e is not None]
    for error in sorted(met, key=lambda e: isinstance(e, Cancelled)):
        raise error
    return first.result(), second.result()
