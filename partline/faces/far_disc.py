"""The far-face disc at true size: what shows on the block, mouth down, of a cut over the floor."""

from __future__ import annotations

import numpy as np

from partline.card.cutting_card import CuttingCard
from partline.faces.colours import INK
from partline.faces.paper import Drawing, hatched, label, path
from partline.faces.wrap_drawing import band, cut_line, dense, lines_of, marked
from partline.faces.wrap_words import Placer
from partline.geometry.surface import Floats

_ROOM = 9.0
_FLIP = np.array([1.0, -1.0])


def far_disc(card: CuttingCard) -> Drawing | None:
    """Return what lies on the far face, front toward you; None where no cut runs over it."""
    cuts = tuple(cut for cut in card.cuts if cut.face == "far face")
    if not cuts:
        return None
    edge = outline(card)
    low, high = edge.min(axis=0), edge.max(axis=0)
    body = _hinge(card, edge) + "".join(band(cut) for cut in cuts)
    body += f'<path d="{path([edge])}" fill="none" stroke="{INK}" stroke-width="0.4"/>'
    body += "".join(cut_line(cut, 1.0, named=False) for cut in cuts)
    taken = [dense(np.vstack([edge, edge[:1]])), *(p for cut in cuts for p in lines_of(cut))]
    placer = Placer(np.vstack(taken), low, high)
    body += "".join(marked(cut, placer, 1.0, True) for cut in cuts)
    x, y = card.block.centre_mm[0], float(high[1])
    body += (
        f'<path d="M{x:.2f} {y + 0.3:.2f}l2 3.2h-4z" fill="{INK}"/>'
        + label(x, y + 7.4, "FRONT", size=3.6, anchor="middle", bold=True)
    )  # fmt: skip
    notes = (
        "1:1, the block mouth down, front toward you. Lay it on the far face so that the cut meets "
        "that of the wrap at the edge; the rubber past “never past” is the hinge and stays whole."
    )
    return Drawing("Far-face disc", float(low[0]) - _ROOM, float(low[1]) - _ROOM,
                   float(np.ptp(edge[:, 0])) + 2 * _ROOM, float(np.ptp(edge[:, 1])) + 2 * _ROOM,
                   body, notes)  # fmt: skip


def _hinge(card: CuttingCard, edge: Floats) -> str:
    """Return the hatched part beside the hinge, which stays whole."""
    if card.over is None:
        return ""
    closed = dense(np.vstack([edge, edge[:1]]))
    way = np.array(card.over.toward[:2]) * _FLIP
    whole = closed[closed @ way >= card.over.never_past_mm]
    if len(whole) < 3:
        return ""
    middle = (whole.min(axis=0) + whole.max(axis=0)) / 2
    # The outline may begin inside the part: its points are put in order round the disc's middle.
    around = np.arctan2(*(whole - closed.mean(axis=0)).T)
    opposite = np.arctan2(*-way)
    whole = whole[np.argsort(np.mod(around - opposite, 2 * np.pi))]
    return hatched("farweb", path([whole])) + label(
        middle[0], middle[1] + 3.0, "DO NOT CUT", size=3.6, anchor="middle", bold=True
    )


def outline(card: CuttingCard) -> Floats:
    """Return the (k, 2) edge of the far face on paper [mm]."""
    block = card.block
    grown = np.array(block.half_mm) + block.slope * block.height_mm
    if block.kind == "box":
        flat = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * grown
    else:
        turn = np.linspace(0.0, 2 * np.pi, 361)[:-1]
        flat = np.column_stack([np.cos(turn), np.sin(turn)]) * grown
    points = block.outward(np.column_stack([flat, np.full(len(flat), block.height_mm)]))
    return np.asarray(points[:, :2] * _FLIP)
