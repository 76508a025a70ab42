"""Memory that is free, given back to the system between the stages of long work.

The C library keeps what it frees: at the end of a plan of a million triangles a gigabyte.
"""

from __future__ import annotations

import ctypes
import sys


def give_back() -> None:
    """Return free memory to the system where its C library offers to; some milliseconds.

    That is glibc's `malloc_trim` (Linux); elsewhere nothing is done.
    """
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            trim(0)
