"""A serpentine: runs sloped 5 degrees, closed ends high, joined in turn at either end (case T8)."""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection, FillRule

from partline.air.cavity import Cavity
from partline.geometry.solids import to_surface

LENGTH, THICK, RISE, WIDE, SHAFT = 60.0, 4.0, 20.0, 6.0, 5.0
SLOPE = np.tan(np.radians(5.0))


def serpentine(k: int) -> Cavity:
    """Return k + 1 runs in the pose of the resin pour, up -Z, mouth over the last arrival end.

    Run 0 is closed at its high end, -x; it is joined to the high end of run 1 over its low end,
    +x; and so on in turn. The mouth is over the high end of the last run.
    """
    half, parts = LENGTH / 2, []
    for i in range(k + 1):
        falls = -1.0 if i % 2 == 0 else 1.0  # the high end is at -x for even runs
        z, drop = i * RISE, half * SLOPE
        left, right = z - falls * drop, z + falls * drop
        parts.append([[-half, left], [half, right], [half, right + THICK], [-half, left + THICK]])
        low_end = half * -falls
        if i < k:
            x0, x1 = sorted((low_end, low_end - np.sign(low_end) * SHAFT))
            floor, roof = z - drop + 1.0, z + RISE + drop
        else:
            x0, x1 = sorted((-low_end, -low_end + np.sign(low_end) * SHAFT))
            floor, roof = z, z + drop + THICK + 15.0
        parts.append([[x0, floor], [x1, floor], [x1, roof], [x0, roof]])
    section = CrossSection()
    for part in parts:
        section += CrossSection([np.array(part)], FillRule.Positive)
    solid = section.extrude(WIDE).rotate((90, 0, 0)).rotate((180, 0, 0)).refine_to_length(3.0)
    surface, _ = to_surface(solid)
    z = surface.vertices[:, 2]
    return Cavity(surface, np.flatnonzero(z < z.min() + 1e-6))
