"""Long work beside the window: one job at a time, with progress, a stop, and errors in words."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from typing import Any

from qtpy.QtCore import QObject, QThread, QTimer, Signal, Slot

from partline.errors import Cancelled, PartlineError
from partline.progress import Progress

# A stopped job that has not ended by then is let go of: some steps report seconds apart.
_PATIENCE_MS = 500

_log = logging.getLogger(__name__)

Work = Callable[[Progress], Any]


class _Worker(QObject):
    progressed = Signal(float, str)
    done = Signal(object)
    failed = Signal(str)
    stopped = Signal()
    over = Signal()

    def __init__(self, work: Callable[[Progress], Any]) -> None:
        super().__init__()
        self._work = work
        self.stop = threading.Event()

    @Slot()
    def run(self) -> None:
        try:
            self.done.emit(self._work(self._progress))
        except Cancelled:
            self.stopped.emit()
        except PartlineError as fault:
            self.failed.emit(str(fault))
        except Exception as fault:  # noqa: BLE001 - a fault of ours: logged, and told in words
            _log.exception("work in the background failed")
            said = str(fault).rstrip(".")
            self.failed.emit(
                f"A fault of partline itself: {type(fault).__name__}: {said}. Nothing was "
                "written. Please report it with the scan, if you may share it."
            )
        finally:
            self.over.emit()

    def _progress(self, fraction: float, words: str) -> None:
        if self.stop.is_set():
            raise Cancelled("Stopped. Nothing was written.")
        self.progressed.emit(float(fraction), words)


class Jobs(QObject):
    """Runs one piece of work at a time; everything it tells arrives in the window's own thread.

    Signals
    -------
    progressed(float, str), failed(str), stopped(), busy(bool)
    """

    progressed = Signal(float, str)
    failed = Signal(str)
    stopped = Signal()
    busy = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thread: QThread | None = None
        self._worker: _Worker | None = None
        self._done: Callable[[Any], None] | None = None
        self._idle, self._closed = False, False
        self._next: tuple[Work, Callable[[Any], None]] | None = None
        self._patience = QTimer(self, singleShot=True, interval=_PATIENCE_MS)
        self._patience.timeout.connect(self._let_go)

    def working(self) -> bool:
        """Tell whether a job that was asked for is running, or waits for idle work to stop."""
        return (self._thread is not None and not self._idle) or self._next is not None

    def start(self, work: Work, done: Callable[[Any], None]) -> bool:
        """Run `work(progress)` in the background, then `done(result)` here; False when busy.

        Idle work is stopped for it first.
        """
        if self.working() or self._closed:
            return False
        if self._thread is not None:
            self._next = (work, done)
            self._ask_to_stop()
        else:
            self._run(work, done)
        self.busy.emit(True)
        return True

    def start_idle(self, work: Work, done: Callable[[Any], None]) -> bool:
        """Run work that nobody waits for: it is not shown, and gives way to any other.

        `done(None)` where it failed; not called where it gave way. False when busy.
        """
        if self._thread is not None or self._closed:
            return False
        self._idle = True
        self._run(work, done)
        return True

    def _run(self, work: Work, done: Callable[[Any], None]) -> None:
        self._done = done
        self._thread, self._worker = QThread(self), _Worker(work)
        self._worker.moveToThread(self._thread)
        self._thread.started.connect(self._worker.run)
        if self._idle:
            self._worker.failed.connect(self._gave_up)
        else:
            self._worker.progressed.connect(self.progressed)
            self._worker.failed.connect(self.failed)
            self._worker.stopped.connect(self.stopped)
        self._worker.done.connect(self._finished)
        self._worker.over.connect(self._over)
        self._thread.start()

    def stop(self) -> None:
        """Stop the job: at its next report, or let go of it where that is long in coming."""
        self._ask_to_stop()
        if self._next is not None:
            self._next = None
            self.busy.emit(False)
        elif self.working():
            self._patience.start()

    def _ask_to_stop(self) -> None:
        if self._worker is not None:
            self._worker.stop.set()

    def _let_go(self) -> None:
        """Leave a stopped job to end by itself, as idle work does; nothing of it is taken."""
        worker = self._worker
        if worker is None or self._idle or not worker.stop.is_set():
            return
        for signal in (worker.progressed, worker.failed, worker.stopped, worker.done):
            signal.disconnect()
        self._idle, self._done = True, None
        self.stopped.emit()
        self.busy.emit(False)

    def close(self, wait_ms: int = 5000) -> bool:
        """Stop and wait; False if the job still runs after that time. None begins any more."""
        if self._thread is None:
            self._closed = True
            return True
        self._done = self._next = None
        self._patience.stop()
        self._ask_to_stop()
        self._thread.quit()
        ended = bool(self._thread.wait(wait_ms))
        if ended:
            self._thread, self._worker = None, None
        self._closed = True
        return ended

    @Slot(object)
    def _finished(self, result: object) -> None:
        if self._done is not None:
            self._done(result)

    @Slot(str)
    def _gave_up(self, words: str) -> None:
        _log.info("idle work came to nothing: %s", words)
        self._finished(None)

    @Slot()
    def _over(self) -> None:
        if self._thread is None:
            return
        self._thread.quit()
        self._thread.wait()
        self._thread.deleteLater()
        self._thread, self._worker, self._done = None, None, None
        self._idle = False
        then, self._next = self._next, None
        if then is not None:
            self._run(*then)
        else:
            self.busy.emit(False)
