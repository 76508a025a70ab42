"""How much is taken from one mesh file: said before memory is asked for it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from partline.errors import ScanError
from partline.scan.edges import Longs

# Twice what is promised to fit into six gigabytes; a choice of this tool, as are those below.
MOST_TRIANGLES = 10_000_000
# A surface has half as many vertices as triangles; where each triangle has its own, thrice.
MOST_VERTICES = 3 * MOST_TRIANGLES
# A level base of a fine scan may come as one polygon.
MOST_CORNERS = 10_000
# Lines of a text, empty ones and remarks among them; the longest holds one polygon.
MOST_LINES = 4 * MOST_TRIANGLES
LONGEST_LINE = 1 << 20
_BLOCK = 1 << 23


def check_counts(name: str, *, triangles: int = 0, vertices: int = 0) -> None:
    """Raise ScanError where a file has, or promises, more than is worked on."""
    for count, most, words in (
        (triangles, MOST_TRIANGLES, "triangles"),
        (vertices, MOST_VERTICES, "vertices"),
    ):
        if count > most:
            raise ScanError(
                f"{name} has {count} {words}; {most / 1e6:.0f} million is the most that is worked "
                "on. Thin it first in the program it comes from: no detail that rubber can show "
                "needs as many."
            )


def check_polygons(name: str, sizes: Longs, before: int = 0) -> None:
    """Raise ScanError where a polygon of (p,) `sizes` has more corners than is worked on.

    Parameters
    ----------
    name : str
        Of the file.
    sizes : (p,) int64
        Corners of each.
    before : int
        How many polygons came before these.
    """
    worst = int(np.argmax(sizes)) if len(sizes) else 0
    if len(sizes) and sizes[worst] > MOST_CORNERS:
        raise ScanError(
            f"{name}: face {before + worst + 1} is a polygon of {sizes[worst]} corners; "
            f"{MOST_CORNERS} is the most that is cut into triangles. Export the piece as a "
            "triangle mesh."
        )


def check_lines(name: str, text: bytes) -> None:
    """Raise ScanError where a text has more lines, or a longer one, than a mesh has."""
    lines = text.count(b"\n") + text.count(b"\r")
    if lines > MOST_LINES:
        raise ScanError(
            f"{name} has {lines} lines; {MOST_LINES / 1e6:.0f} million is the most that is read. "
            "Export it as a binary file."
        )
    begun = 0
    for start in range(0, len(text), _BLOCK):
        part = np.frombuffer(text, np.uint8, min(_BLOCK, len(text) - start), start)
        ends = np.flatnonzero((part == 10) | (part == 13)) + start
        longest = int(np.diff(ends, prepend=begun, append=start + len(part)).max())
        begun = int(ends[-1]) if len(ends) else begun
        if longest > LONGEST_LINE:
            raise ScanError(
                f"{name} has a line of more than {LONGEST_LINE >> 20} MB, longer than any face "
                f"of {MOST_CORNERS} corners. Export the piece as a triangle mesh."
            )


def blocks(text: bytes, end: bytes = b"\n") -> Iterator[bytes]:
    """Yield a text in parts of some megabytes, each to the end of a line, or of another mark."""
    start = 0
    while start < len(text):
        found = text.find(end, start + _BLOCK)
        stop = len(text) if found < 0 else found + len(end)
        yield text[start:stop]
        start = stop
