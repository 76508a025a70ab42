"""From where the cut is looked at: from the side it starts on."""

from __future__ import annotations

import numpy as np

from partline.faces.actor import turned_over
from partline.faces.view import View
from partline.plan import Plan


def facing(plan: Plan, view: View) -> View:
    """Return the view from the side that the first cut starts on, in its pour.

    The eye comes as high as a view begins with. A block that is not cut, or one whose cut starts
    in its middle, is left as it is looked at.
    """
    if not plan.cut.lines:
        return view
    middle = plan.stand.piece.bounds.mean(axis=0)
    ends = turned_over(np.array([plan.cut.lines[0].points[0], middle]), plan, view.pour)
    across = (ends[0] - ends[1])[:2]
    far = float(np.linalg.norm(across))
    if far < 1e-6:
        return view
    x, y, up = View().eye
    wide = float(np.hypot(x, y)) / far
    return view.seen_from((wide * float(across[0]), wide * float(across[1]), up))
