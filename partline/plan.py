"""The plan: one line from a job to everything the bench needs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol, TypeVar

from partline.air.cavity import Cavity
from partline.air.directions_search import search_directions
from partline.air.pockets import trapped_air
from partline.air.preferring import Mending, preferred
from partline.air.rocking import plan_rocking
from partline.air.tipping import plan_tipped_fill
from partline.card.cutting_card import CuttingCard
from partline.card.planning import plan_card
from partline.cut.cut import Cut
from partline.cutting import cut_of, of_rubber
from partline.detail.detail_map import DetailMap
from partline.detail.relief import detail_map
from partline.freshness import still_holding
from partline.geometry.directions import Pour as PourName
from partline.geometry.directions import level_up
from partline.geometry.surface import Floats
from partline.job import Job, MaterialPart
from partline.memory import give_back, spare
from partline.pour import Pour as Pour
from partline.progress import Progress, silent, span
from partline.readying import detail_on, ends_to_brush, resin_ready, rubber_ready
from partline.scan.master import Master
from partline.scan.reading import read_master
from partline.scan.rebuilding import Rebuild
from partline.stand.placing import place
from partline.stand.stand import Stand
from partline.workshop.bench import Bench, bench_of
from partline.workshop.choosing import choose_container
from partline.workshop.container import Container
from partline.workshop.log import Log
from partline.workshop.materials import Defaults, defaults, wall_for
from partline.workshop.mix import Mix
from partline.workshop.mixing import mix
from partline.workshop.production import Making, Production, plan_production
from partline.workshop.resin import Resin, resin_for
from partline.workshop.run import Run

Noun = TypeVar("Noun")

# A plan's search stops here with the gap it has reached; the search alone goes on to its proof.
# On large meshes sooner, so that it visits no more vertices than these.
MOST_TIPS = 1500
LEAST_TIPS = 400
MOST_VISITS = 3e8


@dataclass(frozen=True, eq=False)
class Plan:
    """All of it, from scan to run; each stage as its own noun."""

    job: Job
    master: Master
    stand: Stand
    detail: DetailMap
    rubber_pour: Pour
    resin_pour: Pour
    cut: Cut
    container: Container
    rubber_mix: Mix | None
    degassing_cup_mm3: float
    resin: Resin
    run: Run
    production: Production | None = None
    bench: Bench | None = None
    card: CuttingCard | None = None


def make_plan(
    job: Job, *, log: Log | None = None, earlier: Plan | None = None, progress: Progress = silent
) -> Plan:
    """Return the whole plan of a job: scan, stand, detail, air, cut, workshop, in that order.

    Parameters
    ----------
    job : Job
    log : Log, optional
        What pulls gave so far (see `partline.workshop.log_reading.read_log`); without one, that
        of the earlier plan.
    earlier : Plan, optional
        A plan of the same scan, made before something was changed: what still holds of it is
        taken over and only the rest is worked out.
    progress : Progress
        Hears of every stage; raising `Cancelled` in it stops the work.

    Raises
    ------
    PartlineError
        Of whichever stage cannot do what the job asks.
    """
    known = defaults(job.shop.defaults)
    kept = _kept(earlier, job)

    def stage(start: float, stop: float) -> Progress:
        give_back()
        return span(progress, start, stop)

    master = kept(lambda p: p.master, "piece") or read_scan(job, stage(0.0, 0.12))
    stand = kept(lambda p: p.stand, "stand") or stand_up(job, master, known, stage(0.12, 0.2))
    spare(master.surface)
    detail = kept(lambda p: p.detail, "detail") or detail_map(
        stand.piece,
        finest_mm=known.value("detail.finest_mm"),
        progress=stage(0.2, 0.4),
    )
    spare(stand.piece)
    rubber_pour = kept(lambda p: p.rubber_pour, "air") or _pour(
                        stand.rubber_cavity, "rubber",
                        tip_reach(stand, known, "rubber"), known,
                        stage(0.4, 0.5),
                        weight=detail_on(stand.rubber_cavity, stand, detail))  # fmt: skip
    stand.rubber_cavity.spare_memory()
    resin_pour = kept(lambda p: p.resin_pour, "air") or pour_resin(
        job, stand, known, stage(0.5, 0.65), detail=detail
    )
    stand.cavity.spare_memory()
    cut = kept(lambda p: p.cut, "cut") or cut_of(job, stand, detail, known, stage(0.65, 0.9))
    container = _container(job, stand, cut, known, stage(0.9, 0.93))
    card = _card(job, cut, stand, container, detail, known, stage(0.93, 0.97))
    spare(stand.piece)
    rubber_mix = _mix(job.rubber, container.mix_g, job)
    resin = resin_of(job, stand.cavity.volume_mm3, known)
    if log is None and earlier is not None and earlier.production is not None:
        log = earlier.production.log
    brush = kept(lambda p: p.resin_pour.brush_first, "air")
    if brush is None:
        brush = ends_to_brush(stand, known, detail=detail, progress=stage(0.97, 0.975))
    resin_pour = replace(resin_pour, brush_first=brush)
    bench = bench_of(job, known, stand, cut, container, resin, holds_s=resin_pour.holds_s,
                     narrow_ends=len(resin_pour.narrow_ends))  # fmt: skip
    resin_pour = replace(resin_pour, brush_in_time=bench.cast.brushed)
    rubber_pour = rubber_ready(job, container, rubber_pour, bench.rubber_timing, known)
    resin_pour = resin_ready(
        job, stand, detail, cut, container, resin_pour, bench.cast.timing, known,
        progress=stage(0.975, 1.0),
    )  # fmt: skip
    stand.cavity.spare_memory()
    making = Making(master.height_mm, _voids(resin_pour, known), stand.foot_block is not None,
                    cut, container, resin, rubber_mix, resin_pour.stubs,
                    bench.cast.brushed)  # fmt: skip
    production = plan_production(job, known, making, log=log)
    return Plan(
        job=job,
        master=master,
        stand=stand,
        detail=detail,
        rubber_pour=rubber_pour,
        resin_pour=resin_pour,
        cut=cut,
        container=container,
        rubber_mix=rubber_mix,
        degassing_cup_mm3=bench.degassing.cup_mm3,
        resin=resin,
        run=production.run,
        production=production,
        bench=bench,
        card=card,
    )


def _voids(pour: Pour, known: Defaults) -> int:
    """Return in how many places a casting is predicted to hold visible air, poured as said."""
    smallest = math.pi / 6.0 * known.value("air.visible_bubble_mm") ** 3
    if pour.vents is not None:
        return sum(left >= smallest for left in pour.vents.left_in)
    if pour.rocking is not None:
        return sum(kept.volume_mm3 >= smallest for kept in pour.rocking.kept)
    if pour.tipped is not None:
        return sum(left >= smallest for left in pour.tipped.left_in)
    return len(pour.best.pockets)


class _Kept(Protocol):
    def __call__(self, noun: Callable[[Plan], Noun], stage: str) -> Noun | None: ...


def _kept(earlier: Plan | None, job: Job) -> _Kept:
    """Return what looks a noun up in an earlier plan: None where its stage no longer holds."""
    holding = frozenset() if earlier is None else still_holding(earlier.job, job)

    def look_up(noun: Callable[[Plan], Noun], stage: str) -> Noun | None:
        return noun(earlier) if earlier is not None and stage in holding else None

    return look_up


def read_scan(job: Job, progress: Progress) -> Master:
    """Return the master of a job, read from its scan."""
    scan = job.scan
    measured = scan.measured
    return read_master(
        scan.file,
        height_mm=scan.height_mm,
        units=scan.units,
        measured=None if measured is None else (measured.start, measured.stop, measured.length_mm),
        up=scan.up,
        front=scan.front,
        rebuild=Rebuild(scan.cell_mm) if scan.rebuild else None,
        progress=progress,
    )


def stand_up(job: Job, master: Master, known: Defaults, progress: Progress) -> Stand:
    asked = job.stand
    wall = wall_for(float(master.surface.extents.max()), job.shop.defaults).value

    def chosen(value: float | None, key: str) -> float:
        return known.value(f"stand.{key}") if value is None else value

    return place(
        master,
        mouth=asked.mouth.at,
        mouth_point=asked.mouth.point,
        mouth_faces=asked.mouth.faces,
        foot_block=asked.foot_block,
        foot_block_height_mm=chosen(asked.foot_block_height_mm, "foot_block_height_mm"),
        wall_mm=wall if asked.wall_mm is None else asked.wall_mm,
        headroom_mm=chosen(asked.headroom_mm, "headroom_mm"),
        sink_mm=chosen(asked.sink_mm, "sink_mm"),
        progress=progress,
    )


def pour_resin(
    job: Job,
    stand: Stand,
    known: Defaults,
    progress: Progress = silent,
    *,
    detail: DetailMap | None = None,
) -> Pour:
    """Return the air of the resin pour, and the moves that free it."""
    weight = None if detail is None else detail_on(stand.cavity, stand, detail)
    return _pour(stand.cavity, "resin", tip_reach(stand, known, "resin"), known, progress,
                 material=job.resin, weight=weight)  # fmt: skip


def tip_reach(stand: Stand, known: Defaults, pour: PourName) -> float:
    """Return how far the mould is tipped at most while it is filled [degrees]."""
    if pour == "rubber":
        return known.value("stand.max_tilt_rubber_deg")
    # An open mould tips no farther than its reservoir allows; nor does anyone tip past a limit.
    return min(stand.tilt_limit_deg, known.value("air.max_tilt_resin_deg"))


def _pour(
    cavity: Cavity,
    pour: PourName,
    reach_deg: float,
    known: Defaults,
    progress: Progress,
    *,
    material: MaterialPart | None = None,
    weight: Floats | None = None,
) -> Pour:
    """Return the air of one pour: level, tipped the best way within reach, and rocked.

    `material` is the resin's; without one nothing is rocked. `weight` is the detail at the
    cavity's vertices: of tips as good it tells which spoils least.
    """
    visible = known.value("air.visible_bubble_mm")
    narrow = known.value("air.neck_mm")
    up = level_up(pour)
    progress(0.0, "Making the cavity ready")
    _ = cavity.surface.rays
    progress(0.005, "Making the cavity ready")
    _ = cavity.surface.vertex_normals
    progress(0.01, "Making the cavity ready")
    directions = search_directions(
        cavity,
        about=up,
        within_deg=max(reach_deg, 0.5),
        pour=pour,
        max_analyses=_most_tips(len(cavity.surface.vertices)),
        progress=span(progress, 0.01, 0.4),
    )
    directions = preferred(
        cavity, directions, weight, pour=pour, mending=_mending(pour, known), visible_mm=visible
    )
    level, best = (
        trapped_air(cavity, u, visible_mm=visible, narrow_mm=narrow) for u in (up, directions.best)
    )
    tipped = plan_tipped_fill(
        cavity,
        pour=pour,
        max_tilt_deg=reach_deg,
        also=directions.best[None],
        visible_mm=visible,
        progress=span(progress, 0.4, 0.7),
    )
    rocking = None
    if material is not None:
        kind = known.of_kind("resin", material.kind)
        rocking = plan_rocking(
            cavity,
            up=up,
            air_in=tipped.left_in,
            max_tilt_deg=known.value("air.max_tilt_resin_deg"),
            visible_mm=visible,
            viscosity_pa_s=kind["viscosity_pa_s"].value,
            density=material.density or kind["density"].value,
            progress=span(progress, 0.7, 1.0),
        )
    return Pour(level, best, directions, tipped, rocking)


def _most_tips(vertices: int) -> int:
    """Return how many tips of a cavity with so many vertices are tried at most."""
    return min(MOST_TIPS, max(LEAST_TIPS, round(MOST_VISITS / vertices)))


def _mending(pour: PourName, known: Defaults) -> Mending:
    """Return what air left in a pour costs: rubber marks all castings of a block, resin one."""
    if pour == "rubber":
        castings, place = known.value("run.life"), "lump"
    else:
        castings, place = 1.0, "void"
    return Mending(
        castings, known.value(f"finish.{place}_min"), known.value(f"finish.{place}_detail_min")
    )


def _container(job: Job, stand: Stand, cut: Cut, known: Defaults, progress: Progress) -> Container:
    return choose_container(
        stand,
        cut,
        shelf=job.shelf,
        prefer=job.stand.container,
        density=of_rubber(job, known, "density"),
        defaults_file=job.shop.defaults,
        progress=progress,
    )


def _mix(material: MaterialPart, total_g: float, job: Job) -> Mix | None:
    """Return the mix, or None where the label's ratio has not been given."""
    if material.parts is None or material.by is None:
        return None
    return mix(
        total_g,
        material.parts,
        by=material.by,
        densities=material.part_densities,
        extras=material.extras,
        extras_in=material.extras_in,
        resolution_g=job.shop.scale_resolution_g,
    )


def resin_of(job: Job, volume_mm3: float, known: Defaults) -> Resin:
    """Return the resin of one casting that fills so much [mm^3]."""
    material = job.resin
    by_label = material.parts is not None and material.by is not None
    default = known.of_kind("resin", material.kind)["density"].value
    return resin_for(
        volume_mm3,
        default if material.density is None else material.density,
        loss_share=known.value("casting.loss_share"),
        loss_least_g=known.value("casting.loss_least_g"),
        parts=material.parts if by_label else None,
        by=material.by or "weight",
        part_densities=material.part_densities,
        extras=material.extras,
        extras_in=material.extras_in,
        resolution_g=job.shop.scale_resolution_g,
    )


def _card(
    job: Job,
    cut: Cut,
    stand: Stand,
    container: Container,
    detail: DetailMap,
    known: Defaults,
    progress: Progress,
) -> CuttingCard:
    return plan_card(
        cut,
        stand,
        container,
        detail,
        zigzag_mm=known.value("cut.zigzag_mm"),
        pitch_mm=known.value("cut.zigzag_pitch_mm"),
        flank_deg=known.value("cut.zigzag_flank_deg"),
        smooth_mm=known.value("cut.smooth_depth_mm") if job.cut.next_to_piece == "smooth" else 0.0,
        mark_spacing_mm=known.value("cut.mark_spacing_mm"),
        hand_mm=known.value("cut.hand_accuracy_mm"),
        blade_mm=job.shop.blade_mm,
        progress=progress,
    )
