"""Of the tips that leave as little air as any, the one whose air spoils least."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from partline.air.cavity import Cavity
from partline.air.direction_map import DirectionMap
from partline.air.directions_search import TOLERANCE
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.geometry.cores import in_parts
from partline.geometry.directions import Pour, angle_between, tip_of
from partline.geometry.surface import Floats
from partline.progress import Progress, silent

# At most so many tips are looked at closely, no two nearer than this [radians].
MOST = 16
APART = np.radians(4.0)
# Of those that leave more air so many are looked at too, spread wider.
OTHERS = 10
FAR = np.radians(10.0)
# A place larger than a ball so far across takes longer to mend, as its area [mm]; from memory.
USUAL_MM = 2.0
# Work is told apart by this share of mending one usual place on plain skin.
TOLD = 0.5
# A tip that leaves more air is taken only where the whole run has so much less mending [min].
WORTH_MIN = 5.0


@dataclass(frozen=True)
class Mending:
    """What a place that holds air costs on the castings.

    Attributes
    ----------
    castings : float
        Castings that one pour spoils: all from the block for rubber, one for resin.
    plain_min, detail_min : float
        Mending one place on one casting, on plain skin and on the finest detail; one larger than
        a ball 2 mm across takes longer by its area [min].
    """

    castings: float = 1.0
    plain_min: float = 1.5
    detail_min: float = 5.0


@dataclass(frozen=True, eq=False)
class _Tip:
    up: Floats
    volume_mm3: float
    on_detail_mm3: float
    places: int
    tilt: float
    each_min: float
    alike: bool


def preferred(
    cavity: Cavity,
    found: DirectionMap,
    weight: Floats | None = None,
    *,
    pour: Pour = "resin",
    mending: Mending | None = None,
    visible_mm: float = VISIBLE_MM,
    progress: Progress = silent,
) -> DirectionMap:
    """Return the map with its best tip chosen anew among those as good to the search's tolerance.

    The proof does not tell tips apart that leave the same air within its tolerance; a hand at
    the bench does: first by the minutes of mending, each visible place between plain skin and
    detail by the mean weight of its skin, then by the air on detail, each place's volume times
    that weight, then by how far it is tipped. Differences too small to tell do not count. A tip
    that leaves more air is named only if all castings together have minutes less to mend.

    Parameters
    ----------
    cavity : Cavity
    found : DirectionMap
    weight : (n,) float64, optional
        Detail at each vertex of the cavity, 0 (plain) to 1.
    pour : {"resin", "rubber"}
    mending : Mending, optional
        Minutes, and on how many castings; where left out none that leaves more air is named.
    visible_mm : float
        Diameter of the smallest bubble that counts [mm].
    progress : Progress
    """
    bubble = np.pi / 6.0 * visible_mm**3
    cost = mending or Mending()
    listed = _candidates(found)
    tips = in_parts(
        lambda i, _: _tip(cavity, found, listed[i], weight, cost, visible_mm), len(listed), 1,
        progress=progress, words="Comparing tips",
    )  # fmt: skip

    def spoils(tip: _Tip) -> tuple[int, int, float]:
        told = round(tip.each_min / (TOLD * cost.plain_min))
        return told, round(tip.on_detail_mm3 / bubble), tip.tilt

    alike = [tip for tip in tips if tip.alike]
    best, other = min(alike, key=spoils), min(tips, key=spoils)
    saved = cost.castings * (best.each_min - other.each_min)
    if mending is not None and saved >= WORTH_MIN:
        best = other
    azimuth, tilt = tip_of(best.up, pour)
    return replace(
        found,
        best=best.up.copy(),
        best_volume_mm3=best.volume_mm3,
        gap_mm3=max(0.0, found.gap_mm3 + best.volume_mm3 - found.best_volume_mm3),
        azimuth_deg=azimuth,
        tilt_deg=tilt,
        why=_why(best, len(alike), cost, pour, told=weight is not None),
    )


def _within(found: DirectionMap) -> float:
    """Return the most air of a tip as good as the best, to the search's tolerance [mm^3]."""
    least = float(found.volumes_mm3.min())
    return max(found.best_volume_mm3, least + max(TOLERANCE[0], TOLERANCE[1] * least))


def _candidates(found: DirectionMap) -> list[Floats]:
    """Return tips as good as the best, then others, least air first and well apart."""
    order = np.argsort(found.volumes_mm3, kind="stable")
    good = found.volumes_mm3[order] <= _within(found)
    listed: list[Floats] = [found.best]
    for some, apart, most in ((order[good], APART, MOST), (order[~good], FAR, OTHERS)):
        until = len(listed) + most
        for up in found.directions[some]:
            if len(listed) == until:
                break
            if angle_between(np.array(listed), up).min() >= apart:
                listed.append(up)
    return listed


def _tip(
    cavity: Cavity, found: DirectionMap, up: Floats, weight: Floats | None, cost: Mending,
    visible_mm: float,
) -> _Tip:  # fmt: skip
    air = trapped_air(cavity, up, visible_mm=visible_mm, narrow_mm=0.0)
    spoiled = minutes = 0.0
    for k, pocket in enumerate(air.pockets):
        detail = 0.0 if weight is None else float(weight[air.pocket_of == k].mean())
        spoiled += pocket.volume_mm3 * detail
        balls = pocket.volume_mm3 / (np.pi / 6.0 * USUAL_MM**3)
        larger = max(1.0, balls ** (2.0 / 3.0))
        minutes += larger * (cost.plain_min + detail * (cost.detail_min - cost.plain_min))
    tilt = float(angle_between(up, found.about))
    return _Tip(up, air.volume_mm3, spoiled, len(air.pockets), tilt, minutes,
                air.volume_mm3 <= _within(found) + 1e-9)  # fmt: skip


def _why(best: _Tip, count: int, cost: Mending, pour: Pour, *, told: bool) -> str:
    makes = "a lump on every casting" if pour == "rubber" else "a hole in one casting"
    left = "No place that shows holds air."
    if best.places:
        many = f"{best.places} places" if best.places > 1 else "1 place"
        run = (
            f" each, {cost.castings * best.each_min:.0f} min on the {cost.castings:.0f} of a block"
        )
        if cost.castings <= 1:
            run = ""
        left = f"It leaves air in {many}, each {makes}: about {best.each_min:.1f} min to mend{run}."
    if not best.alike:
        return f"Other tips leave less air, but in places that cost more mending. {left}"
    if count == 1:
        return f"No other tip found leaves as little air. {left}"
    detail = "the least mending, then the least air on detail" if told else "the least mending"
    return (
        f"{count} tips, well apart, leave as little air to the accuracy of the search; this one "
        f"has {detail}, then the smallest tip. {left}"
    )
