"""Air followed while the mould is turned: cut, rise, settle, at every step; nothing is lost."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from partline.air.cavity import Cavity
from partline.air.holding import Holding
from partline.air.sweep import MOST_THREADS
from partline.errors import InternalError
from partline.geometry.directions import unit
from partline.geometry.surface import Floats

# Air in and air out agree to this share; checked at every step.
CONSERVED = 1e-9


@dataclass(frozen=True)
class Held:
    """Air in one pose.

    Attributes
    ----------
    bubbles : dict of int to float
        Node of the pose's tree -> volume [mm^3].
    left_mm3 : float
        What has left through the outlets so far [mm^3].
    """

    bubbles: dict[int, float]
    left_mm3: float

    @property
    def total_mm3(self) -> float:
        """All of it [mm^3]."""
        return sum(self.bubbles.values()) + self.left_mm3


def pose(cavity: Cavity, up: Floats, *, capped: bool) -> Holding:
    """Return what the cavity can hold with `up` upward."""
    with cavity.workspace() as work:
        return Holding(cavity.fans, unit(up), work, capped)


def poses(cavity: Cavity, ups: Sequence[Floats], *, capped: bool) -> list[Holding]:
    """Return `pose` for each upward direction, on all cores: most of it is compiled."""
    _ = cavity.fans  # made once, before threads ask for it
    with ThreadPoolExecutor(min(os.cpu_count() or 1, MOST_THREADS)) as pool:
        return list(pool.map(lambda up: pose(cavity, up, capped=capped), ups))


def let_go(at: Holding, air: list[tuple[int, float]], *, left_mm3: float = 0.0) -> Held:
    """Let air go at vertices; it rises, spills and merges.

    Parameters
    ----------
    at : Holding
    air : list of (vertex, volume)
    left_mm3 : float
        What had left before [mm^3].

    Raises
    ------
    InternalError
        If any air is lost or made on the way.
    """
    leaves = at.rise(np.array([vertex for vertex, _ in air], dtype=np.int32))
    volumes = [volume for _, volume in air]
    bubbles, out = at.settled(list(zip(leaves.tolist(), volumes, strict=True)))
    held = Held(bubbles, left_mm3 + out)
    before = left_mm3 + sum(volumes)
    if abs(held.total_mm3 - before) > CONSERVED * max(before, 1e-12):
        raise InternalError(
            f"{before:.9g} mm³ of air became {held.total_mm3:.9g} mm³ while the mould was turned. "
            "Please keep the mesh and report this."
        )
    return held


def shares(at: Holding, held: Held) -> list[tuple[int, float]]:
    """Return the air of a pose as (vertex of an old top, volume), largest first."""
    parts = [p for node, volume in held.bubbles.items() for p in at.split(node, volume)]
    return sorted(parts, key=lambda p: (-p[1], p[0]))


def carried(poses: list[Holding], held: Held) -> Held:
    """Return the air of the first pose after turning through all of them to the last."""
    for before, after in pairwise(poses):
        held = let_go(after, shares(before, held), left_mm3=held.left_mm3)
    return held


def angles(tilt_deg: float, step_deg: float) -> Floats:
    """Return the tilts from one step to `tilt_deg`, evenly spaced, none over a step apart."""
    count = max(1, int(np.ceil(tilt_deg / step_deg - 1e-9)))
    return np.linspace(0.0, tilt_deg, count + 1)[1:]


def at_mouth(at: Holding, held: Held) -> tuple[float, dict[int, float]]:
    """Return (air under the mouth or gone, {node: air elsewhere}) [mm^3]."""
    mouth = set(at.work.label[at.fans.outlets].tolist())
    free, stays = held.left_mm3, {}
    for node, volume in held.bubbles.items():
        if mouth.isdisjoint(at.leaves(node).tolist()):
            stays[node] = volume
        else:
            free += volume
    return free, stays
