"""Everything about a run of one job: the run, the order, minutes, cost, size, what the log says."""

from __future__ import annotations

import math
from dataclasses import dataclass

from partline.cut.cut import Cut
from partline.job import Job
from partline.job_run import stated
from partline.workshop.container import Container
from partline.workshop.costing import Amounts, Cost, cost
from partline.workshop.learning import Learned, learned
from partline.workshop.log import Log
from partline.workshop.materials import Defaults
from partline.workshop.minutes import Choice, Minutes, compared, minutes_for
from partline.workshop.mix import Mix
from partline.workshop.ordering import Item, to_order
from partline.workshop.resin import Resin
from partline.workshop.run import Run
from partline.workshop.run_planning import DAY_MIN, MOST_PULLS, plan_run, pulls_for
from partline.workshop.shrinkage import Shrinkage, shrinkage


@dataclass(frozen=True)
class Production:
    """A run, and all that hangs on it.

    Attributes
    ----------
    run : Run
    yield_from : str
        "log", "job" or "default": whose yield the run is planned with.
    pulls_range : tuple of int
        Fewest and most pulls by the bounds of the measured yield; the pulls twice otherwise.
        Where the lower bound is 0 the second is 0 too: there is no most.
    good_so_far, pulls_so_far, pulls_to_go : int
        Where the log stands, and how many more pulls to expect.
    order : tuple of Item
        Material for the whole run.
    minutes : Minutes
    cuts : tuple of Choice
        The cut and its alternatives, by the work of the whole run.
    fills_per_mix : int
        Blocks that one batch of resin can fill before it thickens.
    cost : Cost
    size : Shrinkage
    log : Log or None
    learned : Learned or None
    """

    run: Run
    yield_from: str
    pulls_range: tuple[int, int]
    good_so_far: int
    pulls_so_far: int
    pulls_to_go: int
    order: tuple[Item, ...]
    minutes: Minutes
    cuts: tuple[Choice, ...]
    fills_per_mix: int
    cost: Cost
    size: Shrinkage
    log: Log | None
    learned: Learned | None


@dataclass(frozen=True, eq=False)
class Making:
    """What the stages before say about making a piece.

    Attributes
    ----------
    height_mm : float
        Height of the master [mm].
    voids : int
        Places where air stays in the resin when it is poured as said.
    foot : bool
        There is a foot to saw off.
    cut, container, resin, rubber_mix
        Nouns of the stages before.
    vents : int
        Vents of the block: each leaves a stub.
    brushed : int
        Narrow ends that resin is brushed into.
    trimmed_mm : float
        How much of the master is trimmed off and not cast [mm].
    """

    height_mm: float
    voids: int
    foot: bool
    cut: Cut
    container: Container
    resin: Resin
    rubber_mix: Mix | None
    vents: int = 0
    brushed: int = 0
    trimmed_mm: float = 0.0


def plan_production(
    job: Job, known: Defaults, making: Making, *, log: Log | None = None
) -> Production:
    """Return the run of a job and all that hangs on it.

    Parameters
    ----------
    job : Job
    known : Defaults
        The usual figures, the user's own among them.
    making : Making
    log : Log, optional
        What pulls gave so far: the yield, shrinkage, voids and pigment found replace what was
        stated or usual.

    Raises
    ------
    WorkshopError
        If the run cannot be planned.
    """
    life = _life(job, known)
    reference = job.run.measured_on_master_mm or making.height_mm - making.trimmed_mm
    taught = None if log is None else learned(
        log, life=life, master_mm=reference, near_end_share=known.value("run.near_end_share")
    )  # fmt: skip
    share, source = _yield(job, known, taught)
    counted = taught is not None and taught.voids_each is not None
    voids = taught.voids_each if taught is not None and taught.voids_each is not None else float(
        making.voids
    )  # fmt: skip
    minutes = minutes_for(known, seam_min=making.cut.cleanup_min, voids=voids, yield_share=share,
                          foot=making.foot, voids_seen=counted, vents=making.vents,
                          brushed=making.brushed)  # fmt: skip
    run = _run(job, known, share, life, minutes)
    good, pulls = (taught.good, taught.pulls) if taught else (0, 0)
    spare = known.value("run.spare_share")
    order = _order(run, making, spare, taught)
    amounts = Amounts(run.good, run.blocks, share, making.container.mix_g * (1 + spare),
                      making.resin.mix_g * (1 + spare), _pigment_each(making, taught),
                      minutes.casting_min, minutes.finishing_min)  # fmt: skip
    return Production(
        run=run,
        yield_from=source,
        pulls_range=_range(run, taught),
        good_so_far=good,
        pulls_so_far=pulls,
        pulls_to_go=pulls_for(run.good - good, share) if run.good > good else 0,
        order=order,
        minutes=minutes,
        cuts=_cuts(known, making, run.good, share, voids),
        fills_per_mix=_fills(job, known),
        cost=cost(amounts, job.rates),
        size=_size(job, known, making, taught),
        log=log,
        learned=taught,
    )


def _life(job: Job, known: Defaults) -> int:
    """Return castings a block lasts: as stated, else as usual for its rubber."""
    said = stated(job.run, "life")
    return int(said) if said is not None else max(
        1, round(known.of_kind("rubber", job.rubber.kind)["life"].value)
    )  # fmt: skip


def _yield(job: Job, known: Defaults, taught: Learned | None) -> tuple[float, str]:
    if taught is not None and taught.yield_share is not None:
        return taught.yield_share, "log"
    said = stated(job.run, "yield_share")
    return (float(said), "job") if said is not None else (known.value("run.yield_share"), "default")


def _run(job: Job, known: Defaults, share: float, life: int, minutes: Minutes) -> Run:
    asked = job.run
    rubber = known.of_kind("rubber", job.rubber.kind)
    resin = known.of_kind("resin", job.resin.kind)
    demould = resin["demould_min"].value
    per_day = stated(asked, "pulls_per_day")
    cycle = asked.cycle_min
    if per_day is None and cycle is None:  # the usual number, unless this resin is slower
        per_day = round(known.value("run.pulls_per_day"))
        cycle = demould + known.value("run.hands_on_min")
    pot = asked.pot_time_min
    making = known.value("run.days_to_make_block")
    return plan_run(
        asked.good,
        yield_share=share,
        life=life,
        pulls_per_day=per_day,
        blocks_at_once=asked.blocks_at_once,
        days_wanted=asked.days_wanted,
        days_to_make_block=max(making, math.ceil(rubber["demould_h"].value / 24.0))
        if asked.make_block_min is None
        else asked.make_block_min / DAY_MIN,
        air_out_days=rubber["air_out_days"].value
        if asked.air_out_min is None
        else asked.air_out_min / DAY_MIN,
        cycle_min=cycle,
        day_min=60.0 * known.value("run.day_h") if asked.day_min is None else asked.day_min,
        pot_holds=asked.pot_holds,
        pot_min=demould + known.value("run.pot_handling_min") if pot is None else pot,
        hands=asked.hands,
        hands_min=minutes.casting_min + share * minutes.finishing_min,
        start=asked.start,
        working_days=asked.working_days,
        days_off=asked.days_off,
    )


def _range(run: Run, taught: Learned | None) -> tuple[int, int]:
    if taught is None or taught.yield_share is None:
        return run.pulls, run.pulls
    most = 0
    if taught.yield_low * MOST_PULLS >= run.good:
        most = pulls_for(run.good, taught.yield_low)
    return pulls_for(run.good, taught.yield_high), most


def _pigment_each(making: Making, taught: Learned | None) -> float:
    per_100 = taught.pigment_g if taught is not None else None
    return 0.0 if per_100 is None else per_100 * making.resin.mix_g / 100.0


def _order(run: Run, making: Making, spare: float, taught: Learned | None) -> tuple[Item, ...]:
    box, resin = making.container, making.resin
    items = [
        to_order("rubber", run.blocks, box.rubber_g, box.mix_g, spare, making.rubber_mix),
        to_order("resin", run.pulls, resin.casting_g, resin.mix_g, spare, resin.mix),
    ]
    pigment = _pigment_each(making, taught)
    if pigment > 0:
        used = pigment * resin.casting_g / resin.mix_g
        items.append(to_order("pigment", run.pulls, used, pigment, spare))
    return tuple(items)


def _cuts(
    known: Defaults, making: Making, good: int, share: float, voids: float
) -> tuple[Choice, ...]:
    found = [
        (_named(c), c.cleanup_min, voids, c.verdict) for c in (making.cut, *making.cut.alternatives)
    ]
    return compared(known, found, good=good, yield_share=share, foot=making.foot,
                    vents=making.vents, brushed=making.brushed)  # fmt: skip


def _named(cut: Cut) -> str:
    """Return how many cuts and where: two rows of one name could not be told apart."""
    number = {0: "no cut", 1: "one cut", 2: "two cuts"}.get(cut.count, f"{cut.count} cuts")
    sides = " and ".join(dict.fromkeys(line.side for line in cut.lines if line.side))
    over = ", over the floor" if any(line.over for line in cut.lines) else ""
    return f"{number}, {sides}{over}" if sides else f"{number}{over}"


def _fills(job: Job, known: Defaults) -> int:
    """Return floor((pot life x share - mixing) / filling), at least one block."""
    usual = known.of_kind("resin", job.resin.kind)["pot_life_min"].value
    life = usual if job.resin.pot_life_min is None else job.resin.pot_life_min
    left = life * known.value("mix.pour_share_of_pot_life") - known.value("run.resin_mix_min")
    return max(1, math.floor(left / known.value("run.resin_fill_min") + 1e-9))


def _size(job: Job, known: Defaults, making: Making, taught: Learned | None) -> Shrinkage:
    percents = [
        known.of_kind(table, part.kind)["linear_shrinkage_percent"].value
        if part.linear_shrinkage_percent is None
        else part.linear_shrinkage_percent
        for table, part in (("rubber", job.rubber), ("resin", job.resin))
    ]
    found = None if taught is None else taught.shrinkage_percent
    return shrinkage(
        making.height_mm,
        rubber_percent=percents[0],
        resin_percent=percents[1],
        generations=job.run.generations,
        measured_percent=found,
        bounds_percent=None if taught is None or found is None else (
            taught.shrinkage_low, taught.shrinkage_high
        ),
        measured=0 if taught is None else taught.lengths,
        trimmed_mm=making.trimmed_mm,
    )  # fmt: skip
