"""The plan: one line from a job to everything the bench needs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol, TypeVar

from partline.air.brush import DeadEnd
from partline.card.cutting_card import CuttingCard
from partline.card.planning import plan_card
from partline.cut.cut import Cut
from partline.cutting import cut_of, of_rubber
from partline.detail.detail_map import DetailMap
from partline.detail.relief import detail_map
from partline.freshness import still_holding
from partline.job import Job, MaterialPart
from partline.memory import give_back, spare
from partline.pour import Pour as Pour
from partline.pouring import pour_resin, pour_rubber
from partline.progress import Progress, silent, span
from partline.readying import ends_to_brush, resin_ready, rubber_ready
from partline.scan.master import Master
from partline.scan.reading import read_master
from partline.scan.rebuilding import Rebuild
from partline.side_by_side import side_by_side
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

# Up to so many vertices air and cut are worked out at one time: beyond, memory is dearer.
MOST_AT_ONCE = 600_000


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
    if log is None and earlier is not None and earlier.production is not None:
        log = earlier.production.log

    def stage(start: float, stop: float) -> Progress:
        give_back()
        return span(progress, start, stop)

    master = kept(lambda p: p.master, "piece") or read_scan(job, stage(0.0, 0.12))
    stand = kept(lambda p: p.stand, "stand") or stand_up(job, master, known, stage(0.12, 0.2))
    spare(master.surface)
    detail = kept(lambda p: p.detail, "detail") or detail_map(
        stand.piece,
        made=stand.made_faces,
        finest_mm=known.value("detail.finest_mm"),
        progress=stage(0.2, 0.35),
    )
    spare(stand.piece)
    # None of them asks another; the one that is longest on one core is begun first.
    resin_pour, (cut, container, card), rubber_pour, brush = side_by_side(
        lambda heard: _resin_pour(job, stand, detail, known, kept, heard),
        lambda heard: _cut_in_block(job, stand, detail, known, kept, heard),
        lambda heard: _rubber_pour(stand, detail, known, kept, heard),
        lambda heard: _ends(stand, detail, known, kept, heard),
        shares=(0.42, 0.35, 0.18, 0.05),
        at_once=not _is_large(stand),
        progress=stage(0.35, 0.97),
    )
    resin_pour = replace(resin_pour, brush_first=brush)
    rubber_mix = _mix(job.rubber, container.mix_g, job)
    resin = resin_of(job, stand.cavity.volume_mm3, known)
    bench = bench_of(job, known, stand, cut, container, resin, holds_s=resin_pour.holds_s,
                     narrow_ends=len(resin_pour.narrow_ends))  # fmt: skip
    spare(stand.piece)
    resin_pour = replace(resin_pour, brush_in_time=bench.cast.brushed)
    rubber_pour = rubber_ready(job, container, rubber_pour, bench.rubber_timing, known)
    resin_pour = resin_ready(
        job, stand, detail, cut, container, resin_pour, bench.cast.timing, known,
        progress=stage(0.97, 1.0),
    )  # fmt: skip
    if _is_large(stand):
        # Else it is left to who shows the moves of the pour: that asks the cavity once more.
        stand.cavity.spare_memory()
    making = Making(master.height_mm, _voids(resin_pour, known), stand.foot_block is not None,
                    cut, container, resin, rubber_mix, resin_pour.stubs,
                    bench.cast.brushed, stand.sunk_mm)  # fmt: skip
    production = plan_production(job, known, making, log=log)
    return Plan(job, master, stand, detail, rubber_pour, resin_pour, cut, container, rubber_mix,
                bench.degassing.cup_mm3, resin, production.run, production, bench,
                card)  # fmt: skip


def _is_large(stand: Stand) -> bool:
    """Tell if memory is dearer than time."""
    return len(stand.piece.vertices) > MOST_AT_ONCE


def _rubber_pour(
    stand: Stand, detail: DetailMap, known: Defaults, kept: _Kept, progress: Progress
) -> Pour:
    pour = kept(lambda p: p.rubber_pour, "air")
    if pour is None:
        pour = pour_rubber(stand, known, progress, detail=detail)
        stand.rubber_cavity.spare_memory()
        give_back()
    return pour


def _resin_pour(
    job: Job, stand: Stand, detail: DetailMap, known: Defaults, kept: _Kept, progress: Progress
) -> Pour:
    pour = kept(lambda p: p.resin_pour, "air")
    if pour is None:
        pour = pour_resin(job, stand, known, progress, detail=detail)
        if _is_large(stand):
            stand.cavity.spare_memory()
            give_back()
    return pour


def _ends(
    stand: Stand, detail: DetailMap, known: Defaults, kept: _Kept, progress: Progress
) -> tuple[DeadEnd, ...]:
    """Return the narrow ends to brush resin into."""
    ends = kept(lambda p: p.resin_pour.brush_first, "air")
    return ends_to_brush(stand, known, detail=detail, progress=progress) if ends is None else ends


def _cut_in_block(
    job: Job, stand: Stand, detail: DetailMap, known: Defaults, kept: _Kept, progress: Progress
) -> tuple[Cut, Container, CuttingCard]:
    """Return the cut, the container of the block it is cut in, and where the knife starts."""
    cut = kept(lambda p: p.cut, "cut")
    if cut is None:
        cut = cut_of(job, stand, detail, known, span(progress, 0.0, 0.9))
        give_back()
    container = _container(job, stand, cut, known, span(progress, 0.9, 0.93))
    card = _card(job, cut, stand, container, detail, known, span(progress, 0.93, 1.0))
    if _is_large(stand):
        spare(stand.piece)
    return cut, container, card


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
