"""Find the best way to fill tipped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.air.cavity import Cavity
from partline.air.holding import OUT, Holding
from partline.air.measuring import volume_above
from partline.air.pockets import VISIBLE_MM, trapped_air
from partline.air.tipped_fill import TippedFill
from partline.air.trapped_air import TrappedAir
from partline.air.turning import angles, carried, let_go, pose, poses
from partline.errors import CavityError
from partline.geometry.cores import in_parts
from partline.geometry.directions import Pour, level_up, tip_of, tipped_up
from partline.geometry.surface import Floats
from partline.progress import Progress, silent, span

AZIMUTHS = 16
TILTS = 3
STEP_DEG = 5.0
# After so many promising tips in a row that turn out no better, the rest are let be.
PATIENCE = 12


@dataclass(frozen=True, eq=False)
class _Upright:
    """The upright pose: its pockets, and its tree with the mouth open."""

    cavity: Cavity
    up: Floats
    air: TrappedAir
    at: Holding
    # Liquid that must be in for the level to stand above each pocket's spill level [mm^3].
    drowned_by: Floats
    # Points of each pocket's skin.
    skins: tuple[Floats, ...]
    pocket_of_leaf: dict[int, int]
    visible_mm: float


def plan_tipped_fill(
    cavity: Cavity,
    *,
    pour: Pour = "resin",
    max_tilt_deg: float = 30.0,
    also: Floats | None = None,
    visible_mm: float = VISIBLE_MM,
    progress: Progress = silent,
) -> TippedFill:
    """Return the tip that leaves least air with the mould upright, and the least of equal tips.

    Tipped, the mould is filled until the liquid stands at the lowest point of the rim; pockets
    of that pose that lie below it are sealed. Stood up, the same liquid finds its level. An
    upright pocket below that level was full of liquid and stays so, but for sealed air that
    rises into it; one above it fills with air as usual while the mould is topped up.

    Parameters
    ----------
    cavity : Cavity
    pour : {"resin", "rubber"}
        Which way is up, and from where azimuths are seen.
    max_tilt_deg : float
        Steepest tip: what the reservoir allows [degrees]. 0 leaves only the upright fill.
    also : (k, 3) float64, optional
        More upward directions to try besides 16 ways round at 3 tilts.
    visible_mm : float
        Smallest bubble that counts [mm].
    progress : Progress

    Raises
    ------
    CavityError
        If the tilt is not from 0 to 90 degrees.
    """
    if not 0.0 <= max_tilt_deg <= 90.0:
        raise CavityError(f"A tip of {max_tilt_deg:g} degrees cannot be filled; say 0 to 90.")
    upright = _upright(cavity, level_up(pour), visible_mm)
    pockets = upright.air.pockets
    level = sum(p.volume_mm3 for p in pockets)
    best = TippedFill(upright.up, 0.0, 0.0, 1.0, 0.0, level, level, 0.0,
                      tuple(p.volume_mm3 for p in pockets),
                      ("Fill it level: no tip leaves less air.",))  # fmt: skip
    tips = _tips(pour, max_tilt_deg, also) if pockets else []
    tried = in_parts(
        lambda i, _: _tipped(upright, pour, *tips[i]), len(tips), 1,
        progress=span(progress, 0.0, 0.7), words="Filling the mould tipped",
    )  # fmt: skip
    # What forms while topping up is a lower bound; sealed air is followed where that is promising.
    bubble = np.pi / 6.0 * visible_mm**3
    last = 0
    order = sorted(range(len(tried)), key=lambda i: (round(tried[i].forms_mm3 / bubble), i))
    for n, i in enumerate(order):
        if tried[i].forms_mm3 >= best.left_mm3 - bubble or n - last >= PATIENCE:
            break
        progress(0.7 + 0.3 * n / len(order), "Standing the mould up")
        found = _stood_up(upright, pour, tried[i])
        if found.left_mm3 < best.left_mm3 - bubble:
            best, last = found, n
    return best


def _upright(cavity: Cavity, up: Floats, visible_mm: float) -> _Upright:
    air = trapped_air(cavity, up, visible_mm=visible_mm)
    at = pose(cavity, up, capped=False)
    of_leaf = at.leaves_of([p.tops for p in air.pockets])
    heights = at.work.heights
    below = [
        cavity.volume_mm3 - volume_above(cavity.fans, up, heights, p.spill_level_mm)
        for p in air.pockets
    ]
    points = cavity.surface.vertices
    skins = tuple(points[air.pocket_of == i] for i in range(len(air.pockets)))
    return _Upright(cavity, up, air, at, np.array(below), skins, of_leaf, visible_mm)


def _tips(pour: Pour, most: float, also: Floats | None) -> list[tuple[float, float]]:
    """Return the ways to tip, gentlest first: of equal ones the first is taken."""
    listed = [
        (360.0 * n / AZIMUTHS, most * (k + 1) / TILTS)
        for n in range(AZIMUTHS)
        for k in range(TILTS)
    ]
    listed += [tip_of(u, pour) for u in (also if also is not None else ())]
    return sorted((t for t in listed if 0.0 < t[1] <= most + 1e-9), key=lambda t: (t[1], t[0]))


@dataclass(frozen=True, eq=False)
class _Tipped:
    """The mould full while tipped, before it is stood up."""

    azimuth_deg: float
    tilt_deg: float
    up: Floats
    air: TrappedAir
    liquid_mm3: float
    forms: Floats

    @property
    def forms_mm3(self) -> float:
        return float(self.forms.sum())


def _tipped(upright: _Upright, pour: Pour, azimuth: float, tilt: float) -> _Tipped:
    """Return the mould full while tipped, and the air that will form while it is topped up."""
    cavity = upright.cavity
    up = tipped_up(azimuth, tilt, pour)
    air = trapped_air(cavity, up, level="open", visible_mm=upright.visible_mm, narrow_mm=0.0)
    liquid = cavity.volume_mm3 - air.volume_mm3 - air.top_up_mm3
    rim = float((cavity.fans.vertices[cavity.fans.outlets] @ up).min())
    forms = np.zeros(len(upright.air.pockets))
    for i, pocket in enumerate(upright.air.pockets):
        # Full of liquid while tipped: all of it lay below the rim; and it stays below the level.
        full = bool((upright.skins[i] @ up <= rim + 1e-9).all())
        forms[i] = 0.0 if full and upright.drowned_by[i] < liquid else pocket.volume_mm3
    return _Tipped(azimuth, tilt, up, air, liquid, forms)


def _stood_up(upright: _Upright, pour: Pour, tipped: _Tipped) -> TippedFill:
    """Return what is left once sealed air has risen and the mould is topped up."""
    left = tipped.forms.copy()
    _add_sealed(upright, pour, tipped, left)
    room, kept = upright.cavity.volume_mm3, float(left.sum())
    share = tipped.liquid_mm3 / room
    return TippedFill(
        up=tipped.up,
        azimuth_deg=tipped.azimuth_deg,
        tilt_deg=tipped.tilt_deg,
        filled_share=share,
        sealed_mm3=tipped.air.volume_mm3,
        left_mm3=kept,
        level_mm3=sum(p.volume_mm3 for p in upright.air.pockets),
        top_up_mm3=max(0.0, room - tipped.liquid_mm3 - kept),
        left_in=tuple(left.tolist()),
        words=(
            f"Tipped {tipped.tilt_deg:.0f} degrees it takes {100 * share:.0f} % before it runs out "
            "at the rim; stand it up and top it up.",
        ),
    )


def _add_sealed(upright: _Upright, pour: Pour, tipped: _Tipped, left: Floats) -> None:
    """Let the air sealed in the tipped pose rise while the mould is stood up."""
    sealed = [p for p in tipped.air.pockets if np.isfinite(p.spill_level_mm)]
    if not sealed:
        return
    cavity, pockets = upright.cavity, upright.air.pockets
    tilts = angles(tipped.tilt_deg, STEP_DEG)[::-1]
    ups = [tipped_up(tipped.azimuth_deg, t, pour) for t in tilts]
    back = poses(cavity, ups, capped=False)
    first = upright.at.first_vertex
    held = let_go(back[0], [(int(first[p.tops[0]]), p.volume_mm3) for p in sealed])
    held = carried([*back, upright.at], held)
    for node, volume in held.bubbles.items():
        for leaf in upright.at.leaves(node):
            i = upright.pocket_of_leaf.get(int(leaf), OUT)
            if i != OUT:
                left[i] = min(pockets[i].volume_mm3, left[i] + volume)
                break
