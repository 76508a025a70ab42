"""Memory that is free, given back to the system between the stages of long work.

The C library keeps what it frees: at the end of a plan of a million triangles a gigabyte.
"""

from __future__ import annotations

import ctypes
import sys

from partline.geometry.surface import Surface

# From so many vertices on memory is dearer than the second or two it takes to make things anew.
LARGE = 250_000


def give_back() -> None:
    """Return free memory to the system where its C library offers to; some milliseconds.

    That is glibc's `malloc_trim` (Linux); elsewhere nothing is done.
    """
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            trim(0)


def spare(surface: Surface) -> None:
    """Let go of what was worked out about a large surface; what is asked for again is made anew.

    That is up to a third of a kilobyte a triangle.
    """
    if len(surface.vertices) >= LARGE:
        surface.forget()
