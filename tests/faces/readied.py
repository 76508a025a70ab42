"""The hand-built plan with vents and narrow ends, placed by hand, for tests of the faces."""

from __future__ import annotations

import dataclasses

import numpy as np
from fake_plan import fake_plan

from partline.air.brush import DeadEnd
from partline.air.cut_air import CutAir
from partline.air.rising import rise_of
from partline.air.rocking_plan import Kept, RockingPlan
from partline.air.vent import Unvented, Vent, VentPlan
from partline.plan import Plan


def end(x: float, depth: float, detail: float, *, groove: bool = False) -> DeadEnd:
    tip = np.array([x, 0.0, 40.0])
    return DeadEnd(tip, depth, 2.1, 4.0, 20.0, detail, groove, np.array([1, 2], dtype=np.int32))


def readied(*, ends: int = 2, in_time: int = 99) -> Plan:
    """Return the toadstool with one vent, what no vent helps, some narrow ends and a cut's air."""
    plan = fake_plan()
    apex = plan.resin_pour.level.pockets[0].apex
    place, way = np.array([18.0, -3.0, 38.0]), np.array([0.0, 0.0, -1.0])
    vent = Vent(place, 5, 0, way, place + 38.0 * way, 38.0, 0.0, 2.0, 0.1, 70.0)
    why = "no listed move leads it to the mouth"
    rocking = RockingPlan((), 90.0, 90.0, (), 0.0, (Kept(90.0, apex, why),), True, 48, 5.0, ())
    vents = VentPlan((vent,), 90.0, 20.0, 5.0, (20.0,), True, 40,
                     (Unvented(0, 20.0, apex, "no straight way"),),
                     ("One vent brings 90 mm³ of air down to 20 mm³: no fewer do as much.",)
                     )  # fmt: skip
    pour = dataclasses.replace(
        plan.resin_pour,
        rocking=rocking,
        vents=vents,
        brush_first=tuple(end(4.0 * k, 6.0 + k, 9.0 - k, groove=k == 1) for k in range(ends)),
        brush_in_time=min(ends, in_time),
        cut_air=(CutAir(0, 1, apex, 60.0, 30.0),),
        rise=rise_of(0.5, 60.0, 90.0, viscosity_pa_s=0.1, density=1.05),
    )
    return dataclasses.replace(plan, resin_pour=pour)
