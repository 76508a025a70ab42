"""Marks on the outside: where the blade enters, how deep, and where it leans."""

from __future__ import annotations

import numpy as np

from partline.card.block import Block
from partline.card.cutting_card import Keys, Mark, Strokes
from partline.card.unrolling import Layout
from partline.cut.cut import CutLine
from partline.geometry.surface import Floats

# Below this a hand does not lean the blade.
_SQUARE_DEG = 5.0


def marks_of(
    strokes: Strokes,
    keys: Keys,
    layout: Layout,
    *,
    spacing_mm: float,
    blade_mm: float | None = None,
    first: int = 1,
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
    inward = -layout.normals(ends)
    blade = (feet - ends) / np.maximum(depth, 1e-9)[:, None]
    lean = np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", blade, inward), -1.0, 1.0)))
    # Thrown square onto the wall: how far the tip ends to the side of where it went in.
    tips = layout.lay(layout.thrown(feet, -inward))
    return tuple(
        Mark(
            number=first + k,
            place_mm=_triple(ends[k]),
            tip_mm=_triple(feet[k]),
            on_wrap_mm=(float(paper[k, 0]), float(paper[k, 1])),
            tip_on_wrap_mm=(float(tips[k, 0]), float(tips[k, 1])),
            depth_mm=float(depth[k]),
            keys_mm=float(depth[k] - smooth[k]),
            lean_deg=float(lean[k]),
            toward=_toward(tips[k] - paper[k], layout.ways) if lean[k] >= _SQUARE_DEG else "",
            clear=bool(clear[k]),
            short_mm=max(0.0, float(depth[k]) - (np.inf if blade_mm is None else blade_mm)),
        )
        for k in range(len(at))
    )


def _toward(shift: Floats, ways: tuple[str, str, str, str]) -> str:
    """Return where a blade's tip leans, from its shift on paper (x right, y down)."""
    up, down, left, right = ways
    if abs(shift[1]) >= abs(shift[0]):
        return up if shift[1] < 0 else down
    return left if shift[0] < 0 else right


def _triple(point: Floats) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def stops_of(
    block: Block, line: CutLine, strokes: Strokes
) -> tuple[tuple[str, tuple[float, float, float]], ...]:
    """Return where on the outside to stop: try here, likely, never past [mm].

    What the line reaches lies where the blade for it enters; what it does not reach lies straight
    on from the line's end: as deep on the wall, or as far over the far face.
    """
    over = line.over
    marks = line.marks if over is None else over
    way = np.array([0.0, 0.0, 1.0] if over is None else over.toward)
    return tuple(
        (words, _triple(_stop(block, strokes, way, depth, over is not None)))
        for words, depth in (
            ("try here", marks.try_here_mm),
            ("likely", marks.likely_mm),
            ("never past", marks.never_past_mm),
        )
    )


def _stop(block: Block, strokes: Strokes, way: Floats, depth: float, over: bool) -> Floats:
    at = strokes.feet @ way
    # Over the floor only what lies behind the highest point of the line counts.
    begun = np.arange(len(at)) >= (int(strokes.feet[:, 2].argmax()) if over else 0)
    reached = np.flatnonzero((at >= depth - 1e-6) & begun)
    last = strokes.ends[reached[0]] if len(reached) else strokes.ends[-1]
    if len(reached):
        return last
    if over:
        last = last + max(0.0, depth - float(at[-1])) * way
        if last[2] > block.height_mm - 1e-6:
            return np.asarray(last)
    axis = np.array([*block.centre_mm, float(last[2]) if over else max(depth, float(last[2]))])
    out = (last - axis) * [1.0, 1.0, 0.0]
    out /= np.linalg.norm(out)
    return np.asarray(axis + float(block.exits(axis[None], out[None], sides_only=True)[0]) * out)
