"""What the tests of work in a process of its own call there."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from partline.errors import ScanError
from partline.progress import Progress


def told_and_given(*given: Any, progress: Progress, **named: Any) -> tuple[Any, ...]:
    for k in range(4):
        progress(k / 4, f"step {k}")
        time.sleep(0.1)
    print("whatever a library prints")
    return given, named


def the_same(given: Any, *, progress: Progress) -> Any:
    return given


def lock_kept(*, progress: Progress) -> None:
    """Hold the interpreter's lock in one call, for hours."""
    progress(0.5, "a library's call")
    re.match(r"(a+)+b", "a" * 60)


def environment(name: str, *, progress: Progress) -> str | None:
    return os.environ.get(name)


def crash(*, progress: Progress) -> None:
    print("one\ntwo", file=sys.stderr, flush=True)
    os.kill(os.getpid(), signal.SIGKILL)


def note_and_crash(note: str, *_: Any, **__: Any) -> None:
    with Path(note).open("a") as noted:
        noted.write(os.environ.get("VTK_DEFAULT_OPENGL_WINDOW", "-") + " ")
    os.kill(os.getpid(), signal.SIGSEGV)


def hang(*_: Any, **__: Any) -> None:
    time.sleep(60.0)


def lack(*_: Any, **__: Any) -> None:
    raise ImportError("libGL.so.1: no such file")


def refuse(*, progress: Progress) -> None:
    raise ScanError("This is no mesh.")


def stumble(*, progress: Progress) -> None:
    raise ZeroDivisionError("by nought")


def want_too_much(*, progress: Progress) -> None:
    raise MemoryError


def unlike_any(*, progress: Progress) -> Any:
    return lambda: None


def forsaken(note: str, *, progress: Progress) -> None:
    """Ask another process for something that takes long, note which it is, and be killed."""
    code = (
        "from apart_calls import noted_and_long; from partline.apart import call_apart; "
        f"call_apart(noted_and_long, {note!r}, progress=lambda *_: None, words='', usual_s=1.0)"
    )
    other = subprocess.Popen([sys.executable, "-c", code], cwd=Path(__file__).parent)
    while not Path(note).exists():
        time.sleep(0.05)
    other.kill()
    other.wait()


def noted_and_long(note: str, *, progress: Progress) -> None:
    half = Path(note + ".half")
    half.write_text(str(os.getpid()))
    half.replace(note)
    time.sleep(60.0)
