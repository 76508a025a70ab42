"""Memory that is free, given back to the system between the stages of long work.

The C library keeps what it frees: at the end of a plan of a million triangles a gigabyte.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from partline.geometry.surface import Surface

# From so many vertices on memory is dearer than the second or two it takes to make things anew.
LARGE = 250_000


# Of glibc's `mallopt`, from its malloc.h.
_TRIM_THRESHOLD, _MMAP_THRESHOLD, _MOST_ARENAS = -1, -3, -8
_REUSED_BYTES = 32 * 2**20
_KEPT_BYTES = 512 * 2**20


def keep_freed() -> None:
    """Let this process use freed blocks of up to 32 MB again until they are given back.

    Left alone, the C library asks the system for nearly every large array anew and has its pages
    cleared, a tenth of the processor time of a large plan, and what one thread frees is no use to
    another. That is glibc's `mallopt` (Linux); elsewhere nothing is done.
    """
    tune = _of_c_library("mallopt")
    if tune is not None:
        tune(_MMAP_THRESHOLD, _REUSED_BYTES)
        tune(_TRIM_THRESHOLD, _KEPT_BYTES)
        tune(_MOST_ARENAS, 1)


def give_back() -> None:
    """Return free memory to the system where its C library offers to; some milliseconds.

    That is glibc's `malloc_trim` (Linux); elsewhere nothing is done.
    """
    trim = _of_c_library("malloc_trim")
    if trim is not None:
        trim(0)


def _of_c_library(name: str) -> Callable[..., int] | None:
    if sys.platform != "linux":
        return None
    return getattr(ctypes.CDLL(None), name, None)


def spare(surface: Surface) -> None:
    """Let go of what was worked out about a large surface; what is asked for again is made anew.

    That is up to a third of a kilobyte a triangle.
    """
    if len(surface.vertices) >= LARGE:
        surface.forget()
