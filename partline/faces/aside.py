"""Work in a thread beside other work: told of while it is waited for, ended when that ends."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import wait as waited_for
from contextlib import contextmanager
from threading import Event
from typing import TypeVar

from partline.errors import Cancelled
from partline.progress import Progress

Given = TypeVar("Given")

_TOLD_S = 0.2


@contextmanager
def aside(
    work: Callable[[Progress], Given], words: str, *, usual_s: float
) -> Iterator[Callable[[Progress], Given]]:
    """Do a work beside what stands within, which asks for its answer when it needs it.

    What is given is asked with a progress callable, waits for the answer telling so, and raises
    what the work raised. However what stands within ends, the work hears `Cancelled` the next
    time it tells of itself.

    Parameters
    ----------
    work : callable
        Of a progress callable.
    words : str
        What is told while it is waited for.
    usual_s : float
        Half of the bar is filled after waiting so long [s].
    """
    left = Event()

    def heard(fraction: float, words: str) -> None:  # noqa: ARG001
        if left.is_set():
            raise Cancelled

    with ThreadPoolExecutor(1) as pool:
        doing = pool.submit(work, heard)
        try:
            yield lambda progress: awaited(doing, words, progress, usual_s=usual_s)
        finally:
            left.set()


def told(work: Callable[[], Given], words: str, progress: Progress, *, usual_s: float) -> Given:
    """Do a work that tells nothing of itself in a thread, and tell that it goes on."""
    with aside(lambda _: work(), words, usual_s=usual_s) as answer:
        return answer(progress)


def awaited(doing: Future[Given], words: str, progress: Progress, *, usual_s: float) -> Given:
    """Wait for a work that goes on in a thread, and tell so; parameters as `aside`."""
    begun = time.monotonic()
    while not doing.done():
        so_long = time.monotonic() - begun
        progress(so_long / (so_long + usual_s), words)
        waited_for([doing], timeout=_TOLD_S)
    return doing.result()
