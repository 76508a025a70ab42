"""Pockets that a cut runs through: what air could leave by the cut itself, if the bench lets it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.pockets import trapped_air
from partline.air.trapped_air import TrappedAir
from partline.geometry.surface import Floats

# Lines are looked at every so often [mm].
STEP_MM = 0.25


@dataclass(frozen=True, eq=False)
class CutAir:
    """A cut through a pocket, above the level at which it would spill.

    Attributes
    ----------
    pocket : int
        Index of the visible pocket.
    line : int
        Index of the cut.
    place : (3,) float64
        The highest place of the pocket that the cut passes, a vertex near the line [mm].
    frees_mm3 : float
        Air of the pocket that would leave there: exact for an outlet at that place; an estimate
        of what a cut does, for banded lips may hold tight [mm^3].
    stays_mm3 : float
        What would stay above it [mm^3].
    """

    pocket: int
    line: int
    place: Floats
    frees_mm3: float
    stays_mm3: float


def air_at_cuts(
    cavity: Cavity, air: TrappedAir, lines: Sequence[Floats], *, visible_mm: float
) -> tuple[CutAir, ...]:
    """Return the pockets that cuts run through, by pocket; of several cuts the highest.

    Parameters
    ----------
    cavity : Cavity
    air : TrappedAir
        Of the upright mould, on that cavity.
    lines : sequence of (k, 3) float64
        The cuts on the piece [mm].
    visible_mm : float
        Smallest bubble that counts, as for `air` [mm].
    """
    height = cavity.surface.vertices @ air.up
    points = cKDTree(cavity.surface.vertices)
    best: dict[int, tuple[float, int, int]] = {}
    for number, line in enumerate(lines):
        if len(line) == 0:
            continue
        _, near = points.query(_closely(line))
        for v in np.unique(near):
            pocket = int(air.pocket_of[v])
            found = (float(height[v]), int(v), number)
            if pocket >= 0 and found > best.get(pocket, (-np.inf, 0, 0)):
                best[pocket] = found
    return tuple(
        _one(cavity, air, pocket, *best[pocket][1:], visible_mm) for pocket in sorted(best)
    )


def _closely(line: Floats) -> Floats:
    """Return points along a line no farther apart than a step."""
    parts = [line[:1]]
    for a, b in pairwise(line):
        count = max(1, int(np.ceil(np.linalg.norm(b - a) / STEP_MM)))
        parts.append(a + (np.arange(1, count + 1) / count)[:, None] * (b - a))
    return np.vstack(parts)


def _one(
    cavity: Cavity, air: TrappedAir, pocket: int, vertex: int, line: int, visible_mm: float
) -> CutAir:
    then = trapped_air(cavity.with_outlets([vertex]), air.up, visible_mm=visible_mm)
    stays = sum(p.volume_mm3 for p in then.pockets if air.pocket_of[p.tops[0]] == pocket)
    held = air.pockets[pocket].volume_mm3
    stays = min(held, stays)
    return CutAir(pocket, line, cavity.surface.vertices[vertex].copy(), held - stays, stays)
