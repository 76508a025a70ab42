"""Which scans are worked on in a process of their own: those that a library is long busy with."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from partline.apart import call_apart
from partline.progress import Progress

Given = TypeVar("Given")

LARGE_BYTES = 16 * 2**20
"""From half a million to a million triangles: less is never silent for a second."""

_USUAL_S = 600.0
# What a packed scan unpacks to, a 3MF being a ZIP archive.
_PACKED = {".gz": 5, ".xz": 5, ".3mf": 5}


def work_on(
    scan: Path, function: Callable[..., Given], /, *given: Any, progress: Progress,
    shared: Sequence[object] = (), **named: Any,
) -> Given:  # fmt: skip
    """Return what a function gives that works on a scan; a large one in a process of its own.

    Parameters
    ----------
    scan : Path
        Its file; how large it is decides. One that is not there is left to the function.
    function, given, progress, shared, named
        As `apart.call_apart`.

    Raises
    ------
    WorkEnded
        If a process of its own ends before it has answered.
    Exception
        Whatever the function raised.
    """
    if not _is_large(scan):
        return function(*given, progress=progress, **named)
    return call_apart(
        function, *given, progress=progress, words="Starting", usual_s=_USUAL_S, shared=shared,
        **named,
    )  # fmt: skip


def _is_large(scan: Path) -> bool:
    if not scan.is_file():
        return False
    return scan.stat().st_size * _PACKED.get(scan.suffix.lower(), 1) >= LARGE_BYTES
