"""The numbered places of the resin pour, as the log needs them."""

from __future__ import annotations

import hashlib

import numpy as np

from partline.faces.air_rows import air_table
from partline.plan import Plan
from partline.workshop.materials import defaults

_SAME_PLACE_MM = 0.5


def places_hold(plan: Plan) -> dict[int, bool]:
    """Return the number of each place on the sheet -> whether air stays there poured as said.

    Poured as said is: filled tipped, stood up, topped up and rocked, as far as that was planned.
    """
    pour = plan.resin_pour
    rows = air_table(pour).rows
    if pour.rocking is not None:
        kept = [(one.apex, one.volume_mm3) for one in pour.rocking.kept]
    elif pour.tipped is not None:
        pairs = zip(pour.level.pockets, pour.tipped.left_in, strict=True)
        kept = [(pocket.apex, left) for pocket, left in pairs]
    else:
        return {row.number: row.tipped_mm3 > 0 for row in rows}
    known = defaults(plan.job.shop.defaults)
    smallest = np.pi / 6.0 * known.value("air.visible_bubble_mm") ** 3
    tops = [np.asarray(apex) for apex, volume in kept if volume >= smallest]
    return {
        row.number: any(np.linalg.norm(row.apex - top) < _SAME_PLACE_MM for top in tops)
        for row in rows
    }


def places_mark(plan: Plan) -> str:
    """Return a short mark of this numbering; another one where a place has moved or changed.

    A void written down as number 2 means nothing once number 2 is elsewhere.
    """
    rows = air_table(plan.resin_pour).rows
    said = [f"{row.number}:{np.round(row.apex).astype(int).tolist()}" for row in rows]
    return hashlib.sha256(" ".join(said).encode()).hexdigest()[:8]
