"""The moves of the resin pour as a strip of small stills: how the mould is held, and what stays."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from partline.faces.colours import AIR, INK, MOUTH
from partline.faces.drawings import EDGE, GHOST
from partline.faces.figures import bubble
from partline.faces.move_stills import Still
from partline.faces.paper import Drawing, label, path
from partline.faces.resin_moves import Step
from partline.faces.words import bench_side

_CELL, _HIGH = 44.0, 78.0
# The still's place in a cell, and the small dial in its corner.
_WIDE, _TALL, _TOP = 41.0, 40.0, 14.0
_DIAL = 4.6
# So many letters fill a cell.
_LONG = 15


def moves_strip(
    steps: Sequence[Step], stills: Sequence[Still], wide_mm: float
) -> tuple[Drawing, ...]:
    """Return the moves in order, a few cells a row: the mould from the side, all to one scale."""
    rows_needed = -(-len(steps) // max(1, int(wide_mm // _CELL)))
    # As many in each row, so that no cell stands alone.
    across = max(1, -(-len(steps) // max(1, rows_needed)))
    scale = min((_scale(s) for s in stills), default=1.0)
    rows = []
    for first in range(0, len(steps), across):
        some = steps[first : first + across]
        body = "".join(
            _cell(step, stills[first + k], scale, first + k + 1, k * _CELL)
            for k, step in enumerate(some)
        )
        title, notes = "The moves, on", ""
        if first == 0:
            title = "The moves"
            notes = (
                "the side on the right goes down; dark is air, “leaves” is what stays upright. "
                "Small round: looking into the mouth, front mark toward you"
            )
        rows.append(Drawing(title, 0.0, 0.0, len(some) * _CELL, _HIGH, body, notes))
    return tuple(rows)


def _scale(still: Still) -> float:
    corners = np.vstack(still.block)
    wide, tall = np.ptp(corners, axis=0)
    return float(min(_WIDE / wide, _TALL / tall))


def _cell(step: Step, still: Still, scale: float, number: int, left: float) -> str:
    middle = left + _CELL / 2
    tipped = step.azimuth_deg is not None and step.tilt_deg >= 1.0
    body = (
        f'<rect x="{left + 0.5:.2f}" y="0.5" width="{_CELL - 1:.2f}" height="{_HIGH - 1:.2f}" '
        f'stroke="{INK}" fill="none" stroke-width="0.3"/>'
        + label(left + 3, 8.6, str(number), size=8, bold=True)
        + label(left + 12, 8.2, step.words, size=5)
        + _mould(still, scale, middle)
    )
    angle = ""
    if tipped:
        side, angle = step.azimuth_deg or 0.0, f"{step.tilt_deg:.0f}°"
        body += _dial(left + _CELL - _DIAL - 2.4, _DIAL + 2.4, side)
    said = f"{bench_side(side)} down" if tipped else "level"
    body += label(middle, 60.2, said, size=4.4, anchor="middle", bold=True)
    held = ", ".join(w for w in (angle, f"hold {step.hold}" if step.hold else "") if w)
    if held:
        size = 4.8 if len(held) < _LONG else 4.2
        body += label(middle, 67.4, held, size=size, anchor="middle", bold=True)
    if step.left_mm3 is not None:
        words = f"leaves {bubble(step.left_mm3)}" if step.left_mm3 > 0 else "leaves no air"
        body += label(middle, 74.4, words, size=4.2, anchor="middle", colour=AIR, bold=True)
    return body


def _mould(still: Still, scale: float, middle: float) -> str:
    """Return the mould on its ground line: rubber, piece, air, mouth."""
    corners = np.vstack(still.block)
    low, high = corners.min(axis=0), corners.max(axis=0)
    centre, foot = (low[0] + high[0]) / 2, _TOP + _TALL

    def placed(outlines: Sequence[np.ndarray]) -> list[np.ndarray]:
        return [
            np.column_stack(
                [middle + scale * (o[:, 0] - centre), foot - scale * (o[:, 1] - low[1])]
            )
            for o in outlines
        ]

    (mouth,) = placed([still.mouth])
    return (
        f'<path d="{path(placed(still.block))}" fill="none" stroke="{INK}" stroke-width="0.4"/>'
        f'<path d="{path(placed(still.piece))}" fill="{GHOST}" fill-rule="evenodd" '
        f'stroke="{EDGE}" stroke-width="0.25"/>'
        f'<path d="{path(placed(still.air))}" fill="{AIR}" fill-rule="evenodd" stroke="{AIR}" '
        f'stroke-width="0.5"/>'
        f'<path d="{path([mouth], closed=False)}" fill="none" stroke="{MOUTH}" '
        f'stroke-width="1.2"/>'
        f'<path d="M{middle - _WIDE / 2:.2f} {foot + 0.4:.2f}h{_WIDE:.2f}" fill="none" '
        f'stroke="{INK}" stroke-width="0.25"/>'
    )


def _dial(x: float, y: float, azimuth_deg: float) -> str:
    """Return the mouth from above, its dark part the side that goes down."""
    # The front mark is toward you, at the bottom; clockwise from it, down the paper.
    points = []
    for k in range(-4, 5):
        a = math.radians(azimuth_deg + 11 * k)
        points.append((x - _DIAL * math.sin(a), y + _DIAL * math.cos(a)))
    for k in range(4, -5, -1):
        a = math.radians(azimuth_deg + 11 * k)
        inner = _DIAL - 2.2 * (1 - abs(k) / 5)
        points.append((x - inner * math.sin(a), y + inner * math.cos(a)))
    line = "L".join(f"{px:.2f} {py:.2f}" for px, py in points)
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{_DIAL}" stroke="{INK}" fill="none" '
        f'stroke-width="0.4"/>'
        f'<circle cx="{x:.2f}" cy="{y + _DIAL:.2f}" r="0.9" fill="{INK}"/>'
        f'<path d="M{line}Z" fill="{INK}"/>'
    )
