"""A cut, a cup and a resin filled in by hand, for tests of the run."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "faces"))
from fake_plan import fake_plan

from partline.job import Job, ScanPart
from partline.plan import Plan
from partline.workshop.log import Log
from partline.workshop.materials import defaults
from partline.workshop.production import Making, Production, plan_production

PLAN = fake_plan()


def job(**parts: Any) -> Job:
    """Return a small job with the parts given."""
    return Job(name="hut peg", scan=ScanPart(file=Path("peg.ply"), height_mm=62.0), **parts)


def production(log: Log | None = None, voids: int = 2, **parts: Any) -> Production:
    """Return the production of a small job."""
    making = Making(62.0, voids, True, PLAN.cut, PLAN.container, PLAN.resin, PLAN.rubber_mix)
    return plan_production(job(**parts), defaults(), making, log=log)


def plan(log: Log | None = None, **parts: Any) -> Plan:
    """Return a whole plan by hand with its production worked out."""
    made = production(log, **parts)
    return dataclasses.replace(PLAN, job=job(**parts), run=made.run, production=made)
