"""How long the window's own thread is busy between two looks at its events.

The event loop says each time before it waits for what comes next; what the thread has computed
from one such word to the next is the time a click would have been kept waiting. It is the
processor's time of this thread alone, so that a busy machine changes nothing. What the drawing
library takes to draw a picture is kept apart: in software that alone can be long.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic, thread_time

from qtpy.QtCore import QAbstractEventDispatcher, QEventLoop, QTimer


@dataclass(frozen=True)
class Gap:
    """One stretch of work without a look at the events.

    Attributes
    ----------
    step : str
        What was being done.
    own_s, drawing_s : float
        Time of the thread: our work and Qt's, and the drawing library's [s].
    """

    step: str
    own_s: float
    drawing_s: float


class Gaps:
    """Listens to the event loop of this thread and to the drawing of a pane."""

    def __init__(self, render_window) -> None:
        self.found: list[Gap] = []
        self._step, self._drawing, self._begun = "", 0.0, 0.0
        self._from = thread_time()
        self._dispatcher = QAbstractEventDispatcher.instance()
        self._dispatcher.aboutToBlock.connect(self._mark)
        self._window = render_window
        self._seen = [
            render_window.AddObserver("StartEvent", self._draws),
            render_window.AddObserver("EndEvent", self._drew),
        ]

    def close(self) -> None:
        """Listen no more."""
        self._dispatcher.aboutToBlock.disconnect(self._mark)
        for tag in self._seen:
            self._window.RemoveObserver(tag)

    def _draws(self, *_) -> None:
        self._begun = thread_time()

    def _drew(self, *_) -> None:
        self._drawing += thread_time() - self._begun

    def _mark(self) -> None:
        now = thread_time()
        self.found.append(Gap(self._step, now - self._from - self._drawing, self._drawing))
        self._from, self._drawing = now, 0.0

    def do(
        self, step: str, act: Callable[[], object], done: Callable[[], bool] = lambda: True,
        *, seconds: float = 120.0,
    ) -> None:  # fmt: skip
        """Do something as an event of the loop, and let the loop run until it is done."""
        self._step = step
        loop = QEventLoop()
        QTimer.singleShot(0, act)
        clock, end = QTimer(interval=2), monotonic() + seconds
        # Twice: what a timer of nothing has put off comes after the first look.
        looks = [0]

        def look() -> None:
            looks[0] = looks[0] + 1 if done() else 0
            if looks[0] > 3 or monotonic() > end:
                loop.quit()

        clock.timeout.connect(look)
        clock.start()
        # What lies before is the test's own work.
        self._from, self._drawing = thread_time(), 0.0
        loop.exec()
        clock.stop()
        assert done(), f"{step} did not come to an end within {seconds:.0f} s"

    def worst(self) -> dict[str, Gap]:
        """Return the gap of each step in which the most of it was not drawing."""
        found: dict[str, Gap] = {}
        for gap in self.found:
            if gap.step not in found or gap.own_s > found[gap.step].own_s:
                found[gap.step] = gap
        return found

    def slowest_drawing(self) -> dict[str, float]:
        """Return the longest drawing of each step [s]."""
        found: dict[str, float] = {}
        for gap in self.found:
            found[gap.step] = max(found.get(gap.step, 0.0), gap.drawing_s)
        return found
