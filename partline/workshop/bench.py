"""What stands beside the grams at the bench: fixing, offcuts, degassing, times, pressure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partline.cut.cut import Cut
from partline.job import Job, MaterialPart
from partline.stand.stand import Stand
from partline.workshop.batch import LeastBatch, least_batch
from partline.workshop.container import Container
from partline.workshop.degassing import Degassing, degassing_of
from partline.workshop.fixing import FixDown, fix_down
from partline.workshop.materials import Defaults
from partline.workshop.offcuts import Offcuts, offcuts_of
from partline.workshop.pressing import Pressing, pressing_of
from partline.workshop.resin import Resin
from partline.workshop.timing import PotLife, Timing, pot_life, timed


@dataclass(frozen=True, eq=False)
class CastBench:
    """The resin side: its times, the pot, the least batch, the narrow ends there is time for."""

    pot_life: PotLife
    timing: Timing
    pressing: Pressing
    batch: LeastBatch
    brushed: int


@dataclass(frozen=True, eq=False)
class Bench:
    """Both sides: fixing down, offcuts, degassing and times of the rubber; the resin's."""

    fixing: FixDown
    offcuts: Offcuts
    degassing: Degassing
    rubber_pot_life: PotLife
    rubber_timing: Timing
    rubber_batch: LeastBatch
    cast: CastBench


def bench_of(
    job: Job, known: Defaults, stand: Stand, cut: Cut, container: Container, resin: Resin,
    *, holds_s: Sequence[float] = (), narrow_ends: int = 0,
) -> Bench:  # fmt: skip
    """Return all that stands beside the grams.

    Parameters
    ----------
    job : Job
    known : Defaults
    stand, cut, container, resin
        Of the plan.
    holds_s : sequence of float
        How long each move of the filled mould is held; it takes at least the usual time [s].
    narrow_ends : int
        That resin is brushed into if there is time.

    Raises
    ------
    WorkshopError
        If the plan would go above a rating, or a figure cannot be.
    """
    shop, rubber = job.shop, job.rubber
    density = _or_usual(rubber.density, "rubber", rubber.kind, "density", known)
    bodies = [stand.piece, *([stand.foot_block.surface] if stand.foot_block is not None else [])]
    web = cut.web_mm if cut.count else known.value("cut.web_mm")
    mixed_mm3 = container.mix_g / density * 1000.0
    return Bench(
        fixing=fix_down(stand.cavity.volume_mm3, density, job.stand.master_density, known),
        offcuts=offcuts_of(
            container, bodies, web_mm=min(web, container.fill_height_mm), density=density,
            known=known,
        ),
        degassing=degassing_of(
            mixed_mm3, chamber=shop.vacuum_chamber, rating_kpa=shop.vacuum_chamber_rating_kpa,
            altitude_m=shop.altitude_m, known=known,
        ),
        rubber_pot_life=_life(rubber, "rubber", job, known),
        rubber_timing=_rubber_timing(job, known, container),
        rubber_batch=_batch(rubber, container.mix_g, job, known, resin=False),
        cast=cast_bench(job, known, resin, holds_s=holds_s, narrow_ends=narrow_ends),
    )  # fmt: skip


def cast_bench(
    job: Job, known: Defaults, resin: Resin, *, holds_s: Sequence[float] = (), narrow_ends: int = 0
) -> CastBench:
    """Return the resin side alone, for a mould that is already there; arguments as `bench_of`."""
    shop = job.shop
    life = _life(job.resin, "resin", job, known)
    pressing = pressing_of(shop.pressure_pot_rating_kpa, shop.pressure_kpa, shop.altitude_m, known)
    move = known.value("casting.move_s") / 60.0
    volume_ml = resin.casting_g / resin.density
    filling = max(known.value("casting.fill_min"),
                  volume_ml / known.value("casting.fill_ml_per_s") / 60.0)  # fmt: skip
    pot = pressing.gauge_kpa is not None
    steps = [
        ("mix", known.value("casting.mix_min")),
        ("fill", filling),
        ("moves", math.fsum(max(move, hold / 60.0) for hold in holds_s)),
    ]
    if pot:
        steps.append(("into the pot", known.value("casting.close_min")))
    share = known.value("casting.cap_share_of_pot_life")
    goal = "the pot is closed" if pot else "it stands still"
    # As many narrow ends are brushed as the rest leaves time for: the others get talc beforehand.
    timing = timed(steps, life, share, goal=goal, move_min=move)
    brush = known.value("casting.brush_s") / 60.0
    brushed = narrow_ends
    if timing.limit_min is not None:
        spare = max(timing.limit_min - timing.total_min, 0.0)
        brushed = min(narrow_ends, math.floor(spare / brush + 1e-9))
    if brushed:
        steps.insert(1, ("brush", brushed * brush))
        timing = timed(steps, life, share, goal=goal, move_min=move)
    return CastBench(
        pot_life=life,
        timing=timing,
        pressing=pressing,
        batch=_batch(job.resin, resin.mix_g, job, known, resin=True),
        brushed=brushed,
    )


def _rubber_timing(job: Job, known: Defaults, container: Container) -> Timing:
    steps = [("mix", known.value("mix.rubber_mix_min"))]
    if job.shop.vacuum_chamber:
        steps.append(("degas", known.value("mix.degas_min")))
    rise = container.fill_height_mm / known.value("mix.rubber_rise_mm_per_min")
    steps.append(("pour", max(known.value("mix.rubber_pour_min"), rise)))
    return timed(steps, _life(job.rubber, "rubber", job, known),
                 known.value("mix.pour_share_of_pot_life"), goal="it is poured")  # fmt: skip


def _life(material: MaterialPart, table: str, job: Job, known: Defaults) -> PotLife:
    usual = known.of_kind(table, material.kind)["pot_life_min"].value
    return pot_life(material.pot_life_min, usual, job.shop.room_celsius, known)


def _batch(
    material: MaterialPart, planned_g: float, job: Job, known: Defaults, *, resin: bool
) -> LeastBatch:
    return least_batch(planned_g, material.parts, job.shop.scale_resolution_g, known,
                       by=material.by, densities=material.part_densities, resin=resin)  # fmt: skip


def _or_usual(stated: float | None, table: str, kind: str, name: str, known: Defaults) -> float:
    return known.of_kind(table, kind)[name].value if stated is None else stated
