"""Vents that were told where to be: what they let out, wherever a hand has put them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from scipy.spatial import cKDTree

from partline.air.cavity import Cavity
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.air.trapped_air import TrappedAir
from partline.air.turning import pose
from partline.air.vent import Unvented, VentPlan
from partline.air.venting import UP, _checked, _End, _mm3, _opened, _Search, _under
from partline.air.ways_out import first_way_out
from partline.errors import CavityError
from partline.geometry.surface import Floats

# The nearest vertex to a told place that has a straight way out is sought among so many.
_NEAR = 40


def vents_at(
    cavity: Cavity,
    outline: ArrayLike,
    places: ArrayLike,
    *,
    level: TrappedAir | None = None,
    air_in: Sequence[float] | None = None,
    weights: ArrayLike | None = None,
    largest_mm3: float = 5.0,
    diameter_mm: float = 2.0,
    visible_mm: float = VISIBLE_MM,
) -> VentPlan:
    """Return vents that end at given places, in their order, and what then stays.

    Each ends at the vertex nearest to its place that has a straight way to the mouth face; see
    `partline.air.venting.plan_vents` for the other arguments.

    Parameters
    ----------
    places : (k, 3) float
        In the cavity's pose [mm].

    Raises
    ------
    CavityError
        If no straight way leads out near a place, or an argument does not fit.
    """
    ring = np.asarray(outline, dtype=np.float64)
    if level is None:
        level = trapped_air(cavity, UP, visible_mm=visible_mm)
    air, detail = _checked(cavity, level, ring, air_in, weights, largest_mm3, diameter_mm)
    at = pose(cavity, UP, capped=False)
    search = _Search(cavity, at, cKDTree(cavity.fans.vertices), ring, detail,
                     diameter_mm, np.pi / 6.0 * visible_mm**3)  # fmt: skip
    told = np.asarray(places, dtype=np.float64).reshape(-1, 3)
    ends = [_end(search, level, k, place) for k, place in enumerate(told)]
    vents, left = _opened(search, level, air, ends)
    many = "The vent that was set brings" if len(vents) == 1 else (
        f"The {len(vents)} vents that were set bring")  # fmt: skip
    kept = tuple(
        Unvented(i, volume, level.pockets[i].apex.copy(), "no vent was set there")
        for i, volume in sorted(enumerate(left), key=lambda pair: -pair[1])
        if volume >= search.visible_mm3
    )
    return VentPlan(
        vents, sum(air), sum(left), largest_mm3, tuple(left), False, len(told), kept,
        (f"{many} {_mm3(sum(air))} of air down to {_mm3(sum(left))}.",),
    )  # fmt: skip


def _end(search: _Search, level: TrappedAir, number: int, place: Floats) -> tuple[int, _End]:
    """Return the pocket that a told vent empties, the nearest where it is in none, and its end."""
    fans = search.at.fans
    _, near = search.points.query(place, min(_NEAR, len(fans.vertices)))
    near = np.atleast_1d(near)
    mouth = float(fans.vertices[fans.outlets, 2].min())
    way = first_way_out(
        search.cavity.surface.rays, fans.vertices[near], search.outline, mouth, search.diameter_mm
    )
    if way is None:
        x, y, z = place
        raise CavityError(
            f"No straight way leads to the mouth face from vent {number + 1} near {x:.0f}, "
            f"{y:.0f}, {z:.0f} mm, upright or leaning. Move it."
        )
    vertex = int(near[way.place])
    pocket = int(level.pocket_of[fans.original[vertex]])
    if pocket < 0 and level.pockets:
        apexes = np.array([p.apex for p in level.pockets])
        pocket = int(np.argmin(np.linalg.norm(apexes - fans.vertices[vertex], axis=1)))
    rough = float(_under(search, np.array([vertex], dtype=np.int32))[0])
    return max(pocket, 0), _End(vertex, way, rough)
