"""Where the knife starts: across the mouth face, from the foot block's rim out to the wall."""

from __future__ import annotations

import math

import numpy as np

from partline.geometry.surface import Floats
from partline.plan import Plan


def first_stroke(plan: Plan, number: int) -> tuple[Floats, Floats] | None:
    """Return where the blade's first stroke begins and comes out of the wall: (2,) each [mm].

    None without a cutting card. It comes out where the wrap has the cut's first mark, and that
    may be far round from the middle of the line on the piece.
    """
    cuts = plan.card.cuts if plan.card is not None else ()
    for cut in cuts:
        if cut.number == number and cut.face == "side":
            return cut.strokes.feet[0, :2], cut.strokes.ends[0, :2]
    return None


def start_deg(plan: Plan, number: int) -> float:
    """Return how far round from the front mark a cut starts, looking into the mouth [degrees].

    Without a cutting card, where the middle of its line lies on the piece.
    """
    stroke = first_stroke(plan, number)
    if stroke is None:
        return plan.cut.lines[number - 1].azimuth_deg
    x, y = stroke[1] - np.asarray(plan.container.centre_mm)
    return math.degrees(math.atan2(x, -y)) % 360.0
