"""Numbered places of trapped air: one numbering for the drawings and the tables of a pour."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from partline.air.trapped_air import Pocket
from partline.geometry.surface import Floats
from partline.plan import Pour

SHOWN = 15


@dataclass(frozen=True, eq=False)
class AirRow:
    """One place that holds air level, tipped, or both.

    Attributes
    ----------
    number : int
        From 1, the largest first.
    apex : (3,) float64
        Its highest point [mm].
    level_mm3, tipped_mm3 : float
        Air in it with nothing tipped and tipped the best way [mm^3].
    wide_enough : bool
        False where the answer hangs on a join narrower than 3 mm.
    neck_mm : float
        Width of the join over which it would spill [mm].
    """

    number: int
    apex: Floats
    level_mm3: float
    tipped_mm3: float
    wide_enough: bool
    neck_mm: float


@dataclass(frozen=True, eq=False)
class AirTable:
    """The places of one pour.

    Attributes
    ----------
    rows : tuple of AirRow
        At most so many as a bench can use, largest first.
    more : int
        Places that are left out of it.
    more_mm3 : float
        The air in them, level [mm^3].
    """

    rows: tuple[AirRow, ...]
    more: int
    more_mm3: float


def air_table(pour: Pour, *, shown: int = SHOWN) -> AirTable:
    """Number the places of a pour; a pocket left when tipped keeps the number it had level.

    A tipped pocket is the same place when its top lies in a pocket of the level pose; what
    appears only when tipped gets a number of its own.
    """
    level = sorted(range(len(pour.level.pockets)), key=lambda k: -pour.level.pockets[k].volume_mm3)
    left, fresh = _left(pour)
    found = [_row(pour.level.pockets[k], pour.level.pockets[k].volume_mm3, left[k]) for k in level]
    found += [_row(p, 0.0, p.volume_mm3) for p in sorted(fresh, key=lambda p: -p.volume_mm3)]
    rest = found[shown:]
    rows = tuple(
        AirRow(n + 1, apex, flat, tipped, wide, neck)
        for n, (apex, flat, tipped, wide, neck) in enumerate(found[:shown])
    )
    return AirTable(rows, len(rest), float(sum(r[1] for r in rest)))


def _left(pour: Pour) -> tuple[dict[int, float], list[Pocket]]:
    """Return what is left at the end in each level pocket, and pockets that are new.

    At the end of all that is done: filled tipped, stood up, topped up, rocked. Where that has not
    been planned, of the tipped pose itself.
    """
    left = dict.fromkeys(range(len(pour.level.pockets)), 0.0)
    if pour.rocking is not None:
        apexes = np.array([p.apex for p in pour.level.pockets]).reshape(-1, 3)
        for kept in pour.rocking.kept:
            if len(apexes):
                nearest = np.argmin(np.linalg.norm(apexes - kept.apex, axis=1))
                left[int(nearest)] += kept.volume_mm3
        return left, []
    if pour.tipped is not None:
        return {k: float(v) for k, v in enumerate(pour.tipped.left_in)}, []
    fresh: list[Pocket] = []
    for pocket in pour.best.pockets:
        homes = pour.level.pocket_of[pocket.tops]
        homes = homes[homes >= 0]
        if len(homes):
            left[int(homes[0])] += pocket.volume_mm3
        else:
            fresh.append(pocket)
    return left, fresh


def _row(
    pocket: Pocket, level_mm3: float, tipped_mm3: float
) -> tuple[Floats, float, float, bool, float]:
    return np.asarray(pocket.apex), level_mm3, tipped_mm3, pocket.wide_enough, pocket.neck_mm


def kept_level(table: AirTable) -> AirTable:
    """Return a table as it is where nothing is tipped: what is held level is what stays."""
    rows = tuple(replace(r, tipped_mm3=r.level_mm3) for r in table.rows if r.level_mm3 > 0)
    return replace(table, rows=rows)
