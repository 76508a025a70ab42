"""A step of long work in a process of its own: heard of as it goes, ended at once when left."""

from __future__ import annotations

import math
import subprocess
import time
from collections.abc import Mapping, Sequence

from partline.progress import Progress

_TOLD_S = 0.2


def run_apart(
    command: Sequence[str], *, progress: Progress, words: str, usual_s: float,
    most_s: float = math.inf, environment: Mapping[str, str] | None = None,
) -> tuple[int, str]:  # fmt: skip
    """Run a command to its end; return its exit status and the last it wrote to its error stream.

    Whatever `progress` raises ends the process at once.

    Parameters
    ----------
    command : sequence of str
    progress : Progress
    words : str
        What it is told.
    usual_s : float
        Half of the bar is filled after so long; how long it takes is not known [s].
    most_s : float
        It is ended after so long [s].
    environment : mapping, optional
        Of the process; left out, that of this one.

    Raises
    ------
    subprocess.TimeoutExpired
        If it takes longer than `most_s`.
    """
    begun = time.monotonic()
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as other:
        try:
            complaint = None
            while complaint is None:
                waited = time.monotonic() - begun
                progress(waited / (waited + usual_s), words)
                try:
                    complaint = other.communicate(timeout=_TOLD_S)[1]
                except subprocess.TimeoutExpired:
                    if waited > most_s:
                        raise
        except BaseException:
            other.kill()
            raise
    last = complaint.decode(errors="replace").strip().splitlines()[-1:] or [""]
    return other.returncode, last[0][:160]
