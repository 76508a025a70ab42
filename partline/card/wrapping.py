"""The wrap: edges, folds, front line and web of the block's outside, laid flat."""

from __future__ import annotations

import numpy as np

from partline.card.block import Block
from partline.card.cutting_card import Wrap
from partline.card.unrolling import RoundLayout, SideLayout, azimuths
from partline.cut.cut import OverFloor
from partline.geometry.surface import Floats


def wrap_of(block: Block, layout: SideLayout, deepest_mm: float) -> Wrap:
    """Return the outside laid flat; what lies beyond the deepest end of a cut is web [mm]."""
    web = np.zeros((0, 2))
    if deepest_mm < block.height_mm:
        web = np.vstack([layout.edge(deepest_mm), layout.edge(block.height_mm)[::-1]])
    return _wrap(block, layout, web)


def hinged(block: Block, layout: SideLayout, over: OverFloor) -> Wrap:
    """Return the outside laid flat where a cut runs over the floor: the hinge's side is web."""
    strips = []
    for z in (0.0, block.height_mm):
        edge = _dense(layout.edge(z))
        strips.append(edge[layout.roll(edge) @ np.array(over.toward) >= over.never_past_mm])
    count = min(len(strip) for strip in strips)
    if count < 2:
        return _wrap(block, layout, np.zeros((0, 2)))
    rows = [strip[np.linspace(0, len(strip) - 1, count).astype(int)] for strip in strips]
    return _wrap(block, layout, np.vstack([rows[0], rows[1][::-1]]))


def _dense(edge: Floats) -> Floats:
    """Return a line with a point at least every half millimetre."""
    arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(edge, axis=0), axis=1))])
    at = np.linspace(0.0, arc[-1], int(2 * arc[-1]) + 2)
    return np.column_stack([np.interp(at, arc, column) for column in edge.T])


def _wrap(block: Block, layout: SideLayout, web: Floats) -> Wrap:
    mouth, far = layout.edge(0.0), layout.edge(block.height_mm)
    front = layout.lay(_front(block))
    if isinstance(layout, RoundLayout):
        seam = layout.seam
        radius = block.half_mm[0]
        lengths = tuple(2 * np.pi * (radius + block.slope * z) for z in (0.0, block.height_mm))
    else:
        seam = float(azimuths(block, block.outward(layout.low[:1]))[0])
        lengths = tuple(
            float(np.linalg.norm(np.diff(edge, axis=0), axis=1).sum()) for edge in (mouth, far)
        )
    return Wrap(
        outline=np.vstack([mouth, far[::-1]]),
        mouth_edge=mouth,
        far_edge=far,
        front=front,
        folds=layout.folds(),
        web=web,
        seam_deg=float(np.degrees(seam) % 360.0),
        round_mouth_mm=float(lengths[0]),
        round_far_mm=float(lengths[1]),
    )


def _front(block: Block) -> Floats:
    """Return the line straight down the wall at the front mark: (2, 3) [mm]."""
    axis = np.array([*block.centre_mm, 0.0])
    heights = np.array([0.0, block.height_mm])
    start = np.column_stack([np.tile(axis[:2], (2, 1)), heights])
    far = block.exits(
        np.clip(start, None, [np.inf, np.inf, block.height_mm]),
        np.tile([0.0, -1.0, 0.0], (2, 1)),
        sides_only=True,
    )
    return start + far[:, None] * np.array([0.0, -1.0, 0.0])
