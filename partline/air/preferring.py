"""Of the tips that leave as little air as any, the one whose air spoils least."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from partline.air.cavity import Cavity
from partline.air.direction_map import DirectionMap
from partline.air.directions_search import TOLERANCE
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.geometry.directions import Pour, angle_between, tip_of
from partline.geometry.surface import Floats

# At most so many tips are looked at closely, no two nearer than this [radians].
MOST = 16
APART = np.radians(4.0)


@dataclass(frozen=True, eq=False)
class _Tip:
    up: Floats
    volume_mm3: float
    on_detail_mm3: float
    places: int
    tilt: float


def preferred(
    cavity: Cavity,
    found: DirectionMap,
    weight: Floats | None = None,
    *,
    pour: Pour = "resin",
    visible_mm: float = VISIBLE_MM,
) -> DirectionMap:
    """Return the map with its best tip chosen anew among those as good to the search's tolerance.

    The proof does not tell tips apart that leave the same air within its tolerance; a hand at
    the bench does: first the air that lies on detail, then the number of visible places, then
    how far it is tipped. Air on detail is each place's volume times the mean weight of its skin;
    differences below a visible bubble do not count.

    Parameters
    ----------
    cavity : Cavity
    found : DirectionMap
    weight : (n,) float64, optional
        Detail at each vertex of the cavity, 0 (plain) to 1.
    pour : {"resin", "rubber"}
    visible_mm : float
        Diameter of the smallest bubble that counts [mm].
    """
    bubble = np.pi / 6.0 * visible_mm**3
    tips = [_tip(cavity, u, weight, found.about, visible_mm) for u in _alike(found)]
    best = min(tips, key=lambda t: (round(t.on_detail_mm3 / bubble), t.places, t.tilt))
    azimuth, tilt = tip_of(best.up, pour)
    return replace(
        found,
        best=best.up.copy(),
        best_volume_mm3=best.volume_mm3,
        gap_mm3=max(0.0, found.gap_mm3 + best.volume_mm3 - found.best_volume_mm3),
        azimuth_deg=azimuth,
        tilt_deg=tilt,
        why=_why(best, len(tips), pour, told=weight is not None),
    )


def _alike(found: DirectionMap) -> list[Floats]:
    """Return tips that leave as little as the best to the tolerance, least air first, apart."""
    within = max(TOLERANCE[0], TOLERANCE[1] * found.best_volume_mm3)
    good = np.flatnonzero(found.volumes_mm3 <= found.volumes_mm3.min() + within)
    listed: list[Floats] = [found.best]
    for k in good[np.argsort(found.volumes_mm3[good], kind="stable")]:
        up = found.directions[k]
        if angle_between(np.array(listed), up).min() >= APART:
            listed.append(up)
        if len(listed) == MOST:
            break
    return listed


def _tip(
    cavity: Cavity, up: Floats, weight: Floats | None, about: Floats, visible_mm: float
) -> _Tip:
    air = trapped_air(cavity, up, visible_mm=visible_mm)
    spoiled = 0.0
    if weight is not None:
        for k, pocket in enumerate(air.pockets):
            spoiled += pocket.volume_mm3 * float(weight[air.pocket_of == k].mean())
    return _Tip(up, air.volume_mm3, spoiled, len(air.pockets), float(angle_between(up, about)))


def _why(best: _Tip, count: int, pour: Pour, *, told: bool) -> str:
    makes = "a lump on every casting" if pour == "rubber" else "a hole in one casting"
    left = "No place that shows holds air."
    if best.places:
        many = f"{best.places} places" if best.places > 1 else "1 place"
        left = f"It leaves air in {many}, each {makes}."
    if count == 1:
        return f"No other tip found leaves as little air. {left}"
    detail = "the least air on detail, then " if told else ""
    return (
        f"{count} tips, well apart, leave as little air to the accuracy of the search; this one "
        f"has {detail}the fewest places, then the smallest tip. {left}"
    )
