"""A command in a process of its own: how it ended, its last word, and that it ends when left."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from partline.apart import run_apart
from partline.errors import Cancelled
from partline.progress import silent


def python(code: str) -> list[str]:
    return [sys.executable, "-S", "-c", code]


def test_its_status_and_the_last_it_said() -> None:
    told: list[float] = []
    well = run_apart(python("pass"), progress=lambda f, _: told.append(f), words="", usual_s=1.0)
    assert well == (0, "")
    assert told == sorted(told)
    assert told[0] < 0.5
    code = "import sys; print('one\\ntwo', file=sys.stderr); sys.exit(3)"
    assert run_apart(python(code), progress=silent, words="", usual_s=1.0) == (3, "two")


def test_it_is_ended_when_it_takes_too_long_or_is_cancelled() -> None:
    def cancelled(_fraction: float, _words: str) -> None:
        raise Cancelled

    begun = time.monotonic()
    sleeps = python("import time; time.sleep(60)")
    with pytest.raises(subprocess.TimeoutExpired):
        run_apart(sleeps, progress=silent, words="", usual_s=1.0, most_s=0.0)
    with pytest.raises(Cancelled):
        run_apart(sleeps, progress=cancelled, words="", usual_s=1.0)
    assert time.monotonic() - begun < 30.0
