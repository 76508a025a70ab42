"""Work in a process of its own: heard of all the time, and left at once whatever holds it up.

A library that keeps the interpreter's lock stops every thread of its process for as long as one of
its calls takes, ten seconds on five million triangles. Here another process is stopped, and this
one goes on telling, and ends it when it is told to.
"""

from __future__ import annotations

import gc
import math
import os
import pickle
import subprocess
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import IO, Any, NoReturn, TypeVar, cast

from partline.errors import PartlineError, WorkEnded
from partline.memory import keep_freed
from partline.progress import Progress

Given = TypeVar("Given")

_TOLD_S = 0.2
_APART_S = 0.05
_COMMAND = (sys.executable, "-P", "-c", "from partline.apart import serve; serve()")

_MORE_MEMORY = "Close other programs, or thin the scan, and try again."


def call_apart(
    function: Callable[..., Given], /, *given: Any, progress: Progress, words: str, usual_s: float,
    most_s: float = math.inf, shared: Sequence[object] = (),
    environment: Mapping[str, str] | None = None, **named: Any,
) -> Given:  # fmt: skip
    """Return what a function gives that is called in a process of its own.

    Whatever `progress` raises ends that process at once, and so does the end of this one. While
    the function tells nothing the bar creeps on.

    Parameters
    ----------
    function : callable
        At the top of a module; called with `given`, `named` and a `progress` of its own. They and
        what it gives are pickled; so is what it raises.
    progress : Progress
        Called at least every fifth of a second.
    words : str
        What it is told before the function tells anything.
    usual_s : float
        In so long a silence half of the rest of the bar is filled [s].
    most_s : float
        The process is ended after so long [s].
    shared : sequence
        Parts of what is given that are the same objects again wherever the answer has them.
    environment : mapping, optional
        Of the process; left out, that of this one.

    Raises
    ------
    TimeoutError
        If it takes longer than `most_s`.
    WorkEnded
        If the process ends before it has answered.
    Exception
        Whatever the function raised.
    """
    told: SimpleQueue[tuple[str, Any]] = SimpleQueue()
    shown = _Creeping(progress, words, usual_s)
    with (
        tempfile.TemporaryFile() as said,
        subprocess.Popen(
            _COMMAND, env=environment,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said,
        ) as other,
    ):  # fmt: skip
        request = (function, given, named, shared)
        threading.Thread(target=_talk, args=(other, request, told), daemon=True).start()
        try:
            while True:
                try:
                    kind, what = told.get(timeout=_TOLD_S)
                except Empty:
                    kind, what = "nothing", None
                if kind == "answer":
                    answer: Given = what
                    return answer
                if kind == "raised":
                    raise what
                if kind == "ended":
                    raise _ended(other.wait(), said)
                shown.tell(what)
                if shown.waited_s() > most_s:
                    raise TimeoutError(f"It took longer than {most_s:g} s.")
        finally:
            other.kill()
            with suppress(BrokenPipeError):
                cast(IO[bytes], other.stdin).close()


class _Creeping:
    """A bar that goes on while nothing is told."""

    def __init__(self, progress: Progress, words: str, usual_s: float) -> None:
        self._progress, self._words, self._usual_s = progress, words, usual_s
        self._begun = self._heard = time.monotonic()
        self._reached = self._shown = 0.0

    def waited_s(self) -> float:
        return time.monotonic() - self._begun

    def tell(self, heard: tuple[float, str] | None) -> None:
        """Show what was heard, or that it goes on though nothing was."""
        if heard is not None:
            told, self._words = heard
            self._reached, self._heard = max(told, self._shown), time.monotonic()
        silent_s = time.monotonic() - self._heard
        creeping = (1.0 - self._reached) * silent_s / (silent_s + self._usual_s)
        self._shown = self._reached + creeping
        self._progress(self._shown, self._words)


def _talk(
    other: subprocess.Popen[bytes], request: tuple[Any, ...], told: SimpleQueue[tuple[str, Any]]
) -> None:
    """Ask the other process, and hand on what it says until it says no more."""
    ask, answers = cast(IO[bytes], other.stdin), cast(IO[bytes], other.stdout)
    try:
        pickle.dump(request, ask, protocol=pickle.HIGHEST_PROTOCOL)
        ask.flush()
        while True:
            told.put(_Reading(answers, request[-1]).load())
    except (EOFError, BrokenPipeError, ValueError):
        # It ended; or it was ended, and the pipes are closed.
        told.put(("ended", None))
    except BaseException as error:  # noqa: BLE001 - raised in the thread that waits
        told.put(("raised", error))


def _ended(status: int, said: IO[bytes]) -> WorkEnded:
    said.seek(0)
    last = said.read().decode(errors="replace").strip().splitlines()[-1:]
    how = f"signal {-status}" if status < 0 else f"status {status}"
    return WorkEnded(
        f"The process that did the work was ended before it was done ({', '.join([how, *last])}). "
        f"Most often there was too little memory. {_MORE_MEMORY}"
    )


def serve() -> NoReturn:
    """Answer the one call that comes in by the standard input; what the other process runs."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever libraries print
    keep_freed()
    # What is loaded stays: there is nothing to be found among it.
    gc.disable()
    function, given, named, shared = pickle.load(sys.stdin.buffer)
    gc.freeze()
    gc.enable()
    threading.Thread(target=_end_with_the_caller, daemon=True).start()
    try:
        answer = ("answer", function(*given, progress=_Telling(answers), **named))
    except PartlineError as error:
        answer = ("raised", error)
    except MemoryError:
        answer = ("raised", WorkEnded(f"There is too little memory for this. {_MORE_MEMORY}"))
    except BaseException as error:  # noqa: BLE001 - raised again where it was called from
        error.add_note(f"In a process of its own:\n{''.join(traceback.format_exception(error))}")
        answer = ("raised", error)
    _Writing(answers, shared).dump(answer)
    answers.flush()
    os._exit(0)  # nothing is left to be tidied up, and gigabytes are let go of sooner


def _end_with_the_caller() -> None:
    os.read(0, 1)  # nothing more comes: it returns when the caller is gone
    os._exit(1)


class _Telling:
    """Progress told to the caller, not oftener than it can be seen."""

    def __init__(self, answers: IO[bytes]) -> None:
        self._answers, self._last = answers, -math.inf

    def __call__(self, fraction: float, words: str) -> None:
        now = time.monotonic()
        if now - self._last >= _APART_S:
            self._last = now
            pickle.dump(("told", (fraction, words)), self._answers)
            self._answers.flush()


class _Writing(pickle.Pickler):
    """Names parts of what was asked by their number instead of sending them back."""

    def __init__(self, file: IO[bytes], shared: Sequence[object]) -> None:
        super().__init__(file, protocol=pickle.HIGHEST_PROTOCOL)
        self._shared = shared
        self._numbers = {id(one): k for k, one in enumerate(shared)}

    def persistent_id(self, obj: object) -> int | None:
        return self._numbers.get(id(obj))


class _Reading(pickle.Unpickler):
    def __init__(self, file: IO[bytes], shared: Sequence[object]) -> None:
        super().__init__(file)
        self._shared = shared

    def persistent_load(self, pid: int) -> object:
        return self._shared[pid]
