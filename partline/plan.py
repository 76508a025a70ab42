"""The plan: one line from a job to everything the bench needs."""

from __future__ import annotations

from dataclasses import dataclass

from partline.air.direction_map import DirectionMap
from partline.air.trapped_air import TrappedAir
from partline.cut.cut import Cut
from partline.detail.detail_map import DetailMap
from partline.job import Job
from partline.scan.master import Master
from partline.stand.stand import Stand
from partline.workshop.container import Container
from partline.workshop.mix import Mix
from partline.workshop.resin import Resin
from partline.workshop.run import Run


@dataclass(frozen=True, eq=False)
class Pour:
    """The air of one pour.

    Attributes
    ----------
    level : TrappedAir
        With nothing tipped.
    best : TrappedAir
        Tipped the best way within reach.
    directions : DirectionMap
    """

    level: TrappedAir
    best: TrappedAir
    directions: DirectionMap


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
