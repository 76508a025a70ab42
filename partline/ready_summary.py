"""What is got ready for a pour, as plan.json names it."""

from __future__ import annotations

from typing import Any

from partline.air.rising import Rise
from partline.air.vent import VentPlan
from partline.pour import Pour


def ready_summary(pour: Pour) -> dict[str, Any]:
    """Return the named numbers of vents, brushing, cuts and bubbles: mm, mm^3, s in each name."""
    return {
        "vents": _vents(pour.vents),
        "brush_first": [
            {
                "tip_mm": end.tip.tolist(),
                "depth_mm": end.depth_mm,
                "width_mm": end.width_mm,
                "groove": end.groove,
                "detail_mm2": end.detail,
            }
            for end in pour.brush_first
        ],
        "cut_passes": [
            {
                "pocket": at.pocket,
                "cut": at.line + 1,
                "at_mm": at.place.tolist(),
                "frees_mm3": at.frees_mm3,
                "stays_mm3": at.stays_mm3,
            }
            for at in pour.cut_air
        ],
        "small_bubble": _rise(pour.rise),
    }


def _vents(plan: VentPlan | None) -> dict[str, Any] | None:
    if plan is None:
        return None
    return {
        "before_mm3": plan.before_mm3,
        "after_mm3": plan.after_mm3,
        "largest_mm3": plan.largest_mm3,
        "fewest": plan.fewest,
        "places": plan.places,
        "vents": [
            {
                "pocket": v.pocket,
                "at_mm": v.place.tolist(),
                "exit_mm": v.exit.tolist(),
                "length_mm": v.length_mm,
                "lean_deg": v.lean_deg,
                "diameter_mm": v.diameter_mm,
                "detail": v.detail,
                "saves_mm3": v.saves_mm3,
            }
            for v in plan.vents
        ],
        "unvented": [
            {"pocket": u.pocket, "volume_mm3": u.volume_mm3, "why": u.why} for u in plan.unvented
        ],
    }


def _rise(rise: Rise | None) -> dict[str, Any] | None:
    if rise is None:
        return None
    return {
        "diameter_mm": rise.diameter_mm,
        "speed_mm_s": rise.speed_mm_s,
        "height_mm": rise.height_mm,
        "needs_s": rise.needs_s,
        "has_s": rise.has_s,
        "in_time": rise.in_time,
    }
