"""How far the volume of a surface drawn anew may be from that of what was scanned."""

from __future__ import annotations

import numpy as np

from partline.geometry.surface import Floats
from partline.progress import Progress, silent
from partline.scan.columns import winding_volumes
from partline.scan.draft import Draft
from partline.scan.winding import Dipoles, winding_numbers

# Choices of this tool, held against known volumes of five sound scans at three cells each:
# the volume of a closed scan is sampled along lines, to within this share,
SAMPLED = 5e-4
# and of the distances that add up without regard to their side, so much is still in doubt.
UNSIDED = 0.25


def drawn_doubt(
    draft: Draft,
    fresh: Draft,
    away: Floats,
    source: Dipoles,
    *,
    cell: float,
    progress: Progress = silent,
) -> float:
    """Return by how much the volume may be off, either way, for drawing it at the cell.

    A closed scan has a volume of its own, what overlaps counted once, and the two are compared.
    Of an open one the distances from the new surface to the old are added up, out and in against
    each other, and a share of them all; what holes leave open comes on top of this.

    Parameters
    ----------
    draft, fresh : Draft
        The scan and the new surface.
    away : (m,) float64
        Distance of the middle of each new face from the scan.
    source : Dipoles
        Of the scan.
    cell : float
        Faces farther than this from the scan are made up: they are left out here.
    """
    if draft.table.is_closed:
        known = winding_volumes(draft)
        volume = float(fresh.face_volumes().sum())
        return abs(volume - known.once - known.more) + SAMPLED * volume
    near = away <= cell
    area = 0.5 * np.linalg.norm(fresh.face_vectors(), axis=1)[near]
    middles = fresh.vertices[fresh.faces[near]].mean(axis=1)
    inside = winding_numbers(source, middles, progress=progress) > 0.5
    between = area * away[near]
    signed = float(np.where(inside, -between, between).sum())
    return abs(signed) + UNSIDED * float(between.sum())
