"""What other programs may read of the detail: noise, zones, sharp edges, and what words mean."""

from __future__ import annotations

from typing import Any

from partline.detail.detail_map import TERMS, DetailMap
from partline.detail.edge_runs import convex_runs
from partline.geometry.surface import Surface

_MOST = 9


def detail_summary(piece: Surface, detail: DetailMap) -> dict[str, Any]:
    """Return the figures of a detail map of the piece, ready for JSON; noise null: not told."""
    sharp = convex_runs(piece, detail)
    return {
        "noise_mm": detail.noise_mm,
        "finest_mm": detail.finest_mm,
        "zones": len(detail.zones),
        "largest_zones": [zone.figures() for zone in detail.zones[:_MOST]],
        "terms": dict(TERMS),
        "hard_convex_mm": sum(run.length_mm for run in sharp),
        "hard_convex": [
            {"length_mm": run.length_mm, "place_mm": list(run.place_mm)} for run in sharp[:_MOST]
        ],
    }
