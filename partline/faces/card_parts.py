"""Where a drawing too large for a page is parted, so that its parts can be taped together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from partline.faces.paper import Drawing

OVERLAP_MM = 8.0
_PLACES = 120  # tried for each join of two pages


@dataclass(frozen=True)
class Part:
    """The part of a drawing that one page shows.

    Attributes
    ----------
    drawing : Drawing
    left, top, width, height : float
        In the drawing's own coordinates [mm].
    name : str
        "A1" and so on; empty when the page shows it whole.
    across, down : bool
        There is a part to its left, or above.
    """

    drawing: Drawing
    left: float
    top: float
    width: float
    height: float
    name: str = ""
    across: bool = False
    down: bool = False


def parted(drawing: Drawing, wide: float, high: float) -> tuple[Part, ...]:
    """Split a drawing into parts that fit a room [mm], each 8 mm over the last."""
    whole = Part(drawing, drawing.left, drawing.top, drawing.width, drawing.height)
    if drawing.paper_size[0] <= wide and drawing.paper_size[1] <= high:
        return (whole,)
    parts = []
    spans = [(low - drawing.left, high - drawing.left) for low, high in drawing.unbroken]
    columns, rows = _starts(drawing.width, wide, spans), _starts(drawing.height, high)
    for r, (y, tall) in enumerate(rows):
        for c, (x, across) in enumerate(columns):
            name = f"{chr(65 + r % 26)}{c + 1} of {len(rows)} × {len(columns)}"
            parts.append(
                Part(drawing, drawing.left + x, drawing.top + y, across, tall, name, c > 0, r > 0)
            )
    return tuple(parts)


def _starts(
    size: float, room_mm: float, spans: Sequence[tuple[float, float]] = ()
) -> list[tuple[float, float]]:
    """Return where each part starts and how long it is [mm]; joins break few of the spans."""
    count = max(1, math.ceil((size - OVERLAP_MM) / (room_mm - OVERLAP_MM) - 1e-9))
    starts = [0.0]
    for after in range(count - 1, 0, -1):
        latest = starts[-1] + room_mm - OVERLAP_MM
        # The parts that follow must still reach the end.
        earliest = size - OVERLAP_MM - after * (room_mm - OVERLAP_MM)
        places = np.linspace(latest, max(earliest, starts[-1] + 1.0), _PLACES)
        broken = [sum(a < x + OVERLAP_MM and b > x for a, b in spans) for x in places]
        starts.append(float(places[int(np.argmin(broken))]))
    ends = [start + OVERLAP_MM for start in starts[1:]] + [size]
    return [(start, end - start) for start, end in zip(starts, ends, strict=True)]
