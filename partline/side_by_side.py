"""Works that do not wait for each other, two at a time, heard of as one."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from operator import itemgetter
from threading import Event
from typing import Any, TypeVar, overload

from partline.errors import Cancelled
from partline.progress import Progress, silent

A = TypeVar("A")
B = TypeVar("B")
C = TypeVar("C")
D = TypeVar("D")

_TOLD_S = 0.05
_THREADS = 2


@overload
def side_by_side(
    first: Callable[[Progress], A],
    second: Callable[[Progress], B],
    /,
    *,
    shares: tuple[float, float],
    at_once: bool = True,
    progress: Progress = silent,
) -> tuple[A, B]: ...


@overload
def side_by_side(
    first: Callable[[Progress], A],
    second: Callable[[Progress], B],
    third: Callable[[Progress], C],
    fourth: Callable[[Progress], D],
    /,
    *,
    shares: tuple[float, float, float, float],
    at_once: bool = True,
    progress: Progress = silent,
) -> tuple[A, B, C, D]: ...


def side_by_side(
    *works: Callable[[Progress], Any],
    shares: tuple[float, ...],
    at_once: bool = True,
    progress: Progress = silent,
) -> tuple[Any, ...]:
    """Return what some works give, two done at a time, each in a thread of its own.

    `progress` is called from the thread of the caller only; whatever it raises is heard by all
    works the next time they tell of themselves. So is an error of another.

    Parameters
    ----------
    works : callable
        Of a progress callable of its own; begun in this order.
    shares : tuple of float
        Of each in the time that all take; their sum is 1.
    at_once : bool
        Otherwise each begins when the one before is done: less memory.
    progress : Progress

    Raises
    ------
    Exception
        Of the first work that met one.
    """
    left = Event()
    told = [(0.0, "") for _ in works]

    def listener(which: int) -> Progress:
        def tell(fraction: float, words: str) -> None:
            if left.is_set():
                raise Cancelled
            told[which] = (fraction, words)

        return tell

    def tell_all() -> None:
        # The words of the one under way that has farthest to go: they do not flicker.
        _, words = min((one for one in told if one[1]), default=(0.0, ""), key=itemgetter(0))
        progress(sum(s * one for s, (one, _) in zip(shares, told, strict=True)), words)

    with ThreadPoolExecutor(_THREADS if at_once else 1) as pool:
        running = [pool.submit(work, listener(k)) for k, work in enumerate(works)]
        try:
            while wait(running, timeout=_TOLD_S, return_when=FIRST_EXCEPTION).not_done:
                if any(work.done() and work.exception() for work in running):
                    break
                tell_all()
            tell_all()
        finally:
            left.set()
    # An error that a work met itself goes before one it was told to stop with.
    met = [e for e in (work.exception() for work in running) if e is not None]
    for error in sorted(met, key=lambda e: isinstance(e, Cancelled)):
        raise error
    return tuple(work.result() for work in running)
