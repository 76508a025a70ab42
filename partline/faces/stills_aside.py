"""The stills drawn while papers are written: drawing is a process of its own."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import wait as waited_for
from contextlib import contextmanager
from threading import Event

from partline.errors import Cancelled
from partline.faces.picture import stills
from partline.plan import Plan
from partline.progress import Progress

# The answer when it is there; waits for it, telling so, and may raise `MissingExtra`.
Answer = Callable[[Progress], dict[str, bytes]]

_TOLD_S = 0.3
_USUAL_S = 5.0


@contextmanager
def stills_aside(plan: Plan) -> Iterator[Answer]:
    """Draw the stills of a plan beside the work within, which asks for them when it needs them.

    However that work ends, the drawing ends with it.
    """
    left = Event()

    def heard(fraction: float, words: str) -> None:  # noqa: ARG001
        if left.is_set():
            raise Cancelled

    with ThreadPoolExecutor(1) as pool:
        drawing = pool.submit(stills, plan, progress=heard)
        try:
            yield lambda progress: _answer(drawing, progress)
        finally:
            left.set()


def _answer(drawing: Future[dict[str, bytes]], progress: Progress) -> dict[str, bytes]:
    begun = time.monotonic()
    while not drawing.done():
        so_long = time.monotonic() - begun
        progress(so_long / (so_long + _USUAL_S), "Drawing the pictures")
        waited_for([drawing], timeout=_TOLD_S)
    return drawing.result()
