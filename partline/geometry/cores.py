"""A long loop cut into parts that all cores share, heard of as it goes and left at once.

What a part does is compiled and runs without the interpreter's lock. Parts are cut by length, not
by the number of cores, so that sums over them are the same on every computer.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from partline.progress import Progress, silent

Found = TypeVar("Found")
MOST_THREADS = 8


def cores() -> int:
    """Return how many threads share the work: one a core, eight at most."""
    return min(os.cpu_count() or 1, MOST_THREADS)


def in_parts(
    work: Callable[[int, int], Found],
    count: int,
    length: int,
    *,
    progress: Progress = silent,
    words: str = "",
    pool: ThreadPoolExecutor | None = None,
) -> list[Found]:
    """Return `work(start, stop)` for each part of `range(count)`, in order.

    Parameters
    ----------
    work : callable
        Of the first and one past the last number of a part; called from several threads.
    count : int
    length : int
        Of a part: what takes a tenth of a second or less, so that cancelling is quick.
    progress : Progress
        Hears of each finished part; raising `Cancelled` in it leaves the rest undone.
    words : str
        Passed on to `progress`.
    pool : ThreadPoolExecutor, optional
        Threads that are there already: a tenth of a millisecond less a call.
    """
    parts = [(start, min(start + length, count)) for start in range(0, count, length)]
    if len(parts) == 1:
        return [work(*parts[0])]
    own = ThreadPoolExecutor(cores()) if pool is None else pool
    begun = [own.submit(work, *part) for part in parts]
    try:
        found = []
        for k, one in enumerate(begun):
            found.append(one.result())
            progress((k + 1) / len(parts), words)
        return found
    finally:
        for one in begun:
            one.cancel()
        if pool is None:
            own.shutdown(wait=True)
