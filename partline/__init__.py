"""partline: from the scan of a sculptor's master to a cut, a pour and a sheet for the bench."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

# Public names and the module each lives in; loaded at first use so that small commands start fast.
_HOMES = {
    "Surface": "partline.geometry.surface",
    "Master": "partline.scan.master",
    "read_master": "partline.scan.reading",
    "Stand": "partline.stand.stand",
    "place": "partline.stand.placing",
    "DetailMap": "partline.detail.detail_map",
    "detail_map": "partline.detail.relief",
    "Cavity": "partline.air.cavity",
    "TrappedAir": "partline.air.trapped_air",
    "trapped_air": "partline.air.pockets",
    "DirectionMap": "partline.air.direction_map",
    "search_directions": "partline.air.directions_search",
    "VentPlan": "partline.air.vent",
    "plan_vents": "partline.air.venting",
    "dead_ends": "partline.air.brush",
    "Cut": "partline.cut.cut",
    "plan_cut": "partline.cut.planning",
    "Container": "partline.workshop.container",
    "choose_container": "partline.workshop.choosing",
    "Mix": "partline.workshop.mix",
    "mix": "partline.workshop.mixing",
    "Run": "partline.workshop.run",
    "plan_run": "partline.workshop.run_planning",
    "calendar": "partline.workshop.run_calendar",
    "Log": "partline.workshop.log",
    "read_log": "partline.workshop.log_reading",
    "append_pull": "partline.workshop.log_writing",
    "Production": "partline.workshop.production",
    "Job": "partline.job",
    "load_job": "partline.job",
    "Plan": "partline.plan",
    "make_plan": "partline.plan",
    "PartlineError": "partline.errors",
}

__all__ = ["__version__", *_HOMES]

if TYPE_CHECKING:
    from partline.air.brush import dead_ends as dead_ends
    from partline.air.cavity import Cavity as Cavity
    from partline.air.direction_map import DirectionMap as DirectionMap
    from partline.air.directions_search import search_directions as search_directions
    from partline.air.pockets import trapped_air as trapped_air
    from partline.air.trapped_air import TrappedAir as TrappedAir
    from partline.air.vent import VentPlan as VentPlan
    from partline.air.venting import plan_vents as plan_vents
    from partline.cut.cut import Cut as Cut
    from partline.cut.planning import plan_cut as plan_cut
    from partline.detail.detail_map import DetailMap as DetailMap
    from partline.detail.relief import detail_map as detail_map
    from partline.errors import PartlineError as PartlineError
    from partline.geometry.surface import Surface as Surface
    from partline.job import Job as Job
    from partline.job import load_job as load_job
    from partline.plan import Plan as Plan
    from partline.plan import make_plan as make_plan
    from partline.scan.master import Master as Master
    from partline.scan.reading import read_master as read_master
    from partline.stand.placing import place as place
    from partline.stand.stand import Stand as Stand
    from partline.workshop.choosing import choose_container as choose_container
    from partline.workshop.container import Container as Container
    from partline.workshop.log import Log as Log
    from partline.workshop.log_reading import read_log as read_log
    from partline.workshop.log_writing import append_pull as append_pull
    from partline.workshop.mix import Mix as Mix
    from partline.workshop.mixing import mix as mix
    from partline.workshop.production import Production as Production
    from partline.workshop.run import Run as Run
    from partline.workshop.run_calendar import calendar as calendar
    from partline.workshop.run_planning import plan_run as plan_run


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'partline' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
