"""The moves of the resin pour as a strip: which side goes down, how far, for how many seconds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partline.faces.colours import INK
from partline.faces.paper import Drawing, label
from partline.faces.words import bench_side

_CELL, _HIGH, _DIAL = 44.0, 62.0, 14.0


@dataclass(frozen=True)
class Step:
    """One move, from level and back.

    Attributes
    ----------
    words : str
        What is done meanwhile: "fill", "top up", "rock", at most two short words.
    azimuth_deg : float or None
        The side that goes down, clockwise from the front mark, looking into the mouth
        [degrees]; None for level.
    tilt_deg : float
        How far [degrees].
    hold : str
        How long, in words; empty when the hand decides.
    """

    words: str
    azimuth_deg: float | None
    tilt_deg: float
    hold: str = ""


def moves_strip(steps: Sequence[Step], wide_mm: float) -> tuple[Drawing, ...]:
    """Return the moves in order, a few cells a row, each with a dial seen from the mouth."""
    across = max(1, int(wide_mm // _CELL))
    rows = []
    for first in range(0, len(steps), across):
        some = steps[first : first + across]
        body = "".join(_cell(s, first + k + 1, k * _CELL) for k, s in enumerate(some))
        title = "The moves" if first == 0 else "The moves, on"
        notes = "looking into the mouth, front mark toward you; the dark side goes down"
        rows.append(Drawing(title, 0.0, 0.0, len(some) * _CELL, _HIGH, body, notes))
    return tuple(rows)


def _cell(step: Step, number: int, left: float) -> str:
    x, y = left + _CELL / 2, 12.0 + _DIAL
    ink = f'stroke="{INK}" fill="none"'
    body = (
        f'<rect x="{left + 0.5:.2f}" y="0.5" width="{_CELL - 1:.2f}" height="{_HIGH - 1:.2f}" '
        f'{ink} stroke-width="0.3"/>'
        + label(left + 3, 8.6, str(number), size=8, bold=True)
        + label(left + 12, 8.2, step.words, size=5)
        + f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{_DIAL}" {ink} stroke-width="0.5"/>'
        # The front mark is toward you: at the bottom of the dial.
        + f'<circle cx="{x:.2f}" cy="{y + _DIAL:.2f}" r="1.4" fill="{INK}"/>'
    )
    if step.azimuth_deg is None or step.tilt_deg < 1.0:
        body += label(x, y + 2, "level", size=6, anchor="middle", bold=True)
    else:
        body += _side(x, y, step.azimuth_deg)
        angle = f"{step.tilt_deg:.0f}°"
        body += label(x, y + 3.4, angle, size=10, anchor="middle", bold=True)
        body += label(x, 48.6, f"{bench_side(step.azimuth_deg)} down", size=4.4, anchor="middle",
                      bold=True)  # fmt: skip
    if step.hold:
        body += label(x, 58.2, step.hold, size=8, anchor="middle", bold=True)
    return body


def _side(x: float, y: float, azimuth_deg: float) -> str:
    """Return the dark part of the rim on the side that goes down."""
    # Clockwise from the front, which is toward you: down the paper.
    points = []
    for k in range(-4, 5):
        a = math.radians(azimuth_deg + 10 * k)
        points.append((x - _DIAL * math.sin(a), y + _DIAL * math.cos(a)))
    for k in range(4, -5, -1):
        a = math.radians(azimuth_deg + 10 * k)
        inner = _DIAL - 3.4 * (1 - abs(k) / 5)
        points.append((x - inner * math.sin(a), y + inner * math.cos(a)))
    line = "L".join(f"{px:.2f} {py:.2f}" for px, py in points)
    return f'<path d="M{line}Z" fill="{INK}"/>'
