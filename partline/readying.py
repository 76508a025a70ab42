"""What is got ready for a pour once cut and container are known: vents, brushing, bubbles."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from scipy.spatial import ConvexHull, cKDTree

from partline.air.brush import DeadEnd, dead_ends
from partline.air.cavity import Cavity
from partline.air.cut_air import air_at_cuts
from partline.air.rising import Rise, rise_of
from partline.air.told_vents import vents_at
from partline.air.trapped_air import TrappedAir
from partline.air.vent import VentPlan
from partline.air.venting import plan_vents
from partline.card.block import block_of
from partline.cut.cut import Cut
from partline.detail.detail_map import DetailMap
from partline.geometry.surface import Floats
from partline.job import Job, MaterialPart
from partline.pour import Pour
from partline.progress import Progress, silent, span
from partline.stand.stand import Stand
from partline.workshop.container import Container
from partline.workshop.materials import Defaults
from partline.workshop.timing import Timing

_ROUND = 72
# What is done before all of the liquid is in.
_FILLING = ("mix", "degas", "brush", "fill", "pour")


def resin_ready(
    job: Job, stand: Stand, detail: DetailMap, cut: Cut, container: Container, pour: Pour,
    timing: Timing, known: Defaults, *, progress: Progress = silent,
) -> Pour:  # fmt: skip
    """Return the resin pour with its vents, and where the cuts let air out.

    Parameters
    ----------
    timing : Timing
        Of the resin.
    """
    visible = known.value("air.visible_bubble_mm")
    return replace(
        pour,
        vents=vents_of(job, stand, mouth_face(container), pour, detail, known, progress),
        cut_air=air_at_cuts(
            stand.cavity, pour.level, [line.points for line in cut.lines], visible_mm=visible
        ),
        rise=_rise(
            "resin", job.resin, float(stand.cavity.surface.extents[2]), timing, known
        ),
    )  # fmt: skip


def ends_to_brush(
    stand: Stand, known: Defaults, *, detail: DetailMap, progress: Progress = silent
) -> tuple[DeadEnd, ...]:
    """Return the narrow dead ends of the piece to brush resin into, the most detail first."""
    progress(0.0, "Looking for narrow ends")
    weights = detail_on(stand.cavity, stand, detail)
    found = dead_ends(stand.cavity, gap_mm=known.value("air.neck_mm"), weights=weights,
                      progress=span(progress, 0.2, 1.0))  # fmt: skip
    # The foot is sawn off.
    return tuple(end for end in found if end.tip[2] > stand.seat_mm)


def rubber_ready(
    job: Job, container: Container, pour: Pour, timing: Timing, known: Defaults
) -> Pour:
    """Return the rubber pour with whether a small bubble leaves in time."""
    return replace(pour, rise=_rise("rubber", job.rubber, container.fill_height_mm, timing, known))


def detail_on(cavity: Cavity, stand: Stand, detail: DetailMap) -> Floats:
    """Return (n,) detail at a cavity's vertices; none where it is not the piece's skin."""
    apart, near = cKDTree(stand.piece.vertices).query(cavity.surface.vertices, workers=-1)
    close = 1e-3 * float(np.linalg.norm(stand.piece.extents))
    return np.where(apart <= close, detail.weight[near], 0.0)


def stays_in(level: TrappedAir, pour: Pour, cavity: Cavity) -> tuple[float, ...]:
    """Return what stays in each visible pocket when all is done that is planned [mm^3]."""
    if pour.rocking is None:
        return tuple(p.volume_mm3 for p in level.pockets) if pour.tipped is None else (
            pour.tipped.left_in
        )  # fmt: skip
    left = np.zeros(len(level.pockets))
    for kept in pour.rocking.kept:
        away = np.linalg.norm(cavity.surface.vertices - kept.apex, axis=1)
        home = int(level.pocket_of[np.argmin(away)])
        if home >= 0:
            left[home] += kept.volume_mm3
    return tuple(left.tolist())


def vents_of(
    job: Job, stand: Stand, face: Floats, pour: Pour, detail: DetailMap, known: Defaults,
    progress: Progress = silent,
) -> VentPlan | None:  # fmt: skip
    """Return the vents for what tipping and rocking leave; None where none are wanted.

    Parameters
    ----------
    face : (k, 2) float64
        Outline of the block's mouth face, counter-clockwise [mm].
    detail : DetailMap
        Of the piece; vents keep off it.
    """
    asked = job.vents
    if not asked.wanted:
        return None
    largest, wide = asked.largest_air_mm3, asked.diameter_mm
    largest = known.value("air.vent_left_mm3") if largest is None else largest
    stays = stays_in(pour.level, pour, stand.cavity)
    progress(0.0, "Looking for vents")
    few = not asked.at and sum(stays) <= largest
    terms: dict[str, Any] = {
        "level": pour.level,
        "air_in": stays,
        "weights": None if few else detail_on(stand.cavity, stand, detail),
        "largest_mm3": largest,
        "diameter_mm": known.value("air.vent_mm") if wide is None else wide,
        "visible_mm": known.value("air.visible_bubble_mm"),
    }  # fmt: skip
    if asked.at:
        lift = np.array([0.0, 0.0, stand.lift_mm])
        told = np.vstack([stand.master.from_file(place)[0] + lift for place in asked.at])
        return vents_at(stand.cavity, face, told, **terms)
    return plan_vents(stand.cavity, face, **terms, progress=progress)


def least_face(stand: Stand) -> Floats:
    """Return the (k, 2) outline of the least block's mouth face, counter-clockwise [mm].

    The piece grown by its wall, as the rubber pour is planned before a container is known.
    """
    points = stand.rubber_cavity.surface.vertices
    low = points[points[:, 2] < points[:, 2].min() + 1e-6, :2]
    return low[ConvexHull(low).vertices]


def mouth_face(container: Container) -> Floats:
    """Return the (k, 2) outline of a block's mouth face, counter-clockwise [mm]."""
    block = block_of(container)
    x, y = block.half_mm
    if block.kind == "box":
        corners = np.array([[-x, -y, 0.0], [x, -y, 0.0], [x, y, 0.0], [-x, y, 0.0]])
    else:
        a = 2.0 * np.pi * np.arange(_ROUND) / _ROUND
        corners = x * np.column_stack([np.cos(a), np.sin(a), np.zeros(_ROUND)])
    return block.outward(corners)[:, :2]


def _rise(
    table: str, material: MaterialPart, height_mm: float, timing: Timing, known: Defaults
) -> Rise:
    kind = known.of_kind(table, material.kind)
    has = None
    if timing.limit_min is not None:
        filling = sum(minutes for name, minutes in timing.steps if name in _FILLING)
        has = max(0.0, 60.0 * (timing.limit_min - filling))
    return rise_of(
        known.value("air.visible_bubble_mm"),
        height_mm,
        has,
        viscosity_pa_s=kind["viscosity_pa_s"].value,
        density=kind["density"].value if material.density is None else material.density,
    )
