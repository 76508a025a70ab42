"""The numbered places of the resin pour, as the log needs them."""

from __future__ import annotations

import hashlib

import numpy as np

from partline.faces.air_rows import air_table
from partline.plan import Plan


def places_hold(plan: Plan) -> dict[int, bool]:
    """Return the number of each place on the sheet -> whether air stays there poured as said."""
    return {row.number: row.tipped_mm3 > 0 for row in air_table(plan.resin_pour).rows}


def places_mark(plan: Plan) -> str:
    """Return a short mark of this numbering; another one where a place has moved or changed.

    A void written down as number 2 means nothing once number 2 is elsewhere.
    """
    rows = air_table(plan.resin_pour).rows
    said = [f"{row.number}:{np.round(row.apex).astype(int).tolist()}" for row in rows]
    return hashlib.sha256(" ".join(said).encode()).hexdigest()[:8]
