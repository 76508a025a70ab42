"""Marks on the outside: where the blade enters, how deep, and where it leans."""

from __future__ import annotations

import numpy as np

from partline.card.block import Block
from partline.card.cutting_card import Keys, Mark, Stops, Strokes
from partline.card.unrolling import Layout
from partline.cut.cut import CutLine
from partline.geometry.surface import Floats

# Below this a hand does not lean the blade.
_SQUARE_DEG = 5.0


def marks_of(
    block: Block,
    strokes: Strokes,
    keys: Keys,
    layout: Layout,
    *,
    spacing_mm: float,
    blade_mm: float | None = None,
) -> tuple[Mark, ...]:
    """Return marks from the mouth on, evenly spaced along the outside, both ends included."""
    middle = layout.lay(strokes.ends)
    steps = np.linalg.norm(np.diff(middle, axis=0), axis=1)
    steps[strokes.splits] = 0.0  # nothing is cut across a split
    arc = np.concatenate([[0.0], np.cumsum(steps)])
    count = max(1, round(arc[-1] / spacing_mm))
    at = np.linspace(0.0, arc[-1], count + 1)
    feet, paper = (
        np.column_stack([np.interp(at, arc, column) for column in values.T])
        for values in (strokes.feet, middle)
    )
    ends = layout.roll(paper)
    clear = strokes.clear[np.abs(arc[None] - at[:, None]).argmin(axis=1)]
    depth = np.linalg.norm(ends - feet, axis=1)
    smooth = np.minimum(keys.smooth_mm, depth / 3)
    inward = -block.wall_normals(ends)
    blade = (feet - ends) / np.maximum(depth, 1e-9)[:, None]
    lean = np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", blade, inward), -1.0, 1.0)))
    # Thrown square onto the wall: how far the tip ends to the side of where it went in.
    thrown = feet + block.exits(_kept(block, feet), -inward, sides_only=True)[:, None] * -inward
    tips = layout.lay(thrown)
    return tuple(
        Mark(
            number=k + 1,
            place_mm=_triple(ends[k]),
            tip_mm=_triple(feet[k]),
            on_wrap_mm=(float(paper[k, 0]), float(paper[k, 1])),
            tip_on_wrap_mm=(float(tips[k, 0]), float(tips[k, 1])),
            depth_mm=float(depth[k]),
            keys_mm=float(depth[k] - smooth[k]),
            lean_deg=float(lean[k]),
            toward=_toward(tips[k] - paper[k]) if lean[k] >= _SQUARE_DEG else "",
            clear=bool(clear[k]),
            short_mm=max(0.0, float(depth[k]) - (np.inf if blade_mm is None else blade_mm)),
        )
        for k in range(len(at))
    )


def _kept(block: Block, points: Floats) -> Floats:
    out = points.copy()
    out[:, 2] = np.clip(out[:, 2], 0.0, block.height_mm)
    return out


def _toward(shift: Floats) -> str:
    """Return where a blade's tip leans, from its shift on the wrap (x right, y away from it)."""
    if abs(shift[1]) >= abs(shift[0]):
        return "the mouth" if shift[1] < 0 else "the far face"
    return "left" if shift[0] < 0 else "right"


def _triple(point: Floats) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def stops_of(block: Block, line: CutLine, strokes: Strokes, layout: Layout) -> Stops:
    """Return where on the wrap to stop: try here, likely, never past.

    A depth that the line reaches lies where the blade for it enters; one that it does not reach
    lies straight on from the line's end, as deep on the wall.
    """
    marks = line.marks
    return tuple(
        (words, _stop(block, strokes, layout, depth))
        for words, depth in (
            ("try here", marks.try_here_mm),
            ("likely", marks.likely_mm),
            ("never past", marks.never_past_mm),
        )
    )


def _stop(block: Block, strokes: Strokes, layout: Layout, depth: float) -> tuple[float, float]:
    reached = np.flatnonzero(strokes.feet[:, 2] >= depth - 1e-6)
    if len(reached):
        place = strokes.ends[reached[0]]
    else:
        last = strokes.ends[-1]
        axis = np.array([*block.centre_mm, max(depth, float(last[2]))])
        way = (last - axis) * [1.0, 1.0, 0.0]
        way /= np.linalg.norm(way)
        place = axis + float(block.exits(axis[None], way[None], sides_only=True)[0]) * way
    x, y = layout.lay(place[None])[0]
    return float(x), float(y)
