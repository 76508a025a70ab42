"""The figures beside the grams, as plan.json names them."""

from __future__ import annotations

from typing import Any

from partline.workshop.batch import LeastBatch
from partline.workshop.bench import Bench, CastBench
from partline.workshop.timing import PotLife, Timing


def bench_summary(bench: Bench | None) -> dict[str, Any] | None:
    """Return the named numbers of a bench: mm, mm^3, g, kPa, N and minutes, each in its name."""
    if bench is None:
        return None
    fixing, offcuts, vacuum = bench.fixing, bench.offcuts, bench.degassing
    return {
        "fixing": {
            "force_n": fixing.force_n,
            "hold_g": fixing.hold_g,
            "master_density": fixing.master_density,
            "words": list(fixing.words),
        },
        "offcuts": {
            "most_g": offcuts.most_g,
            "gap_mm": offcuts.gap_mm,
            "below_fill_line_mm": offcuts.below_rim_mm,
            "rescue": [{"short_ml": ml, "offcuts_g": g} for ml, g in offcuts.rescue],
            "ml_per_mm": offcuts.ml_per_mm,
            "words": list(offcuts.words),
        },
        "degassing": {
            "chamber": vacuum.chamber,
            "cup_mm3": vacuum.cup_mm3,
            "goal_kpa_absolute": vacuum.goal_kpa,
            "air_kpa_absolute": vacuum.here_kpa,
            "gauge_kpa_below": vacuum.gauge_kpa,
            "gauge_inhg_below": vacuum.gauge_inhg,
            "words": list(vacuum.words),
        },
        "rubber": {
            "pot_life": _life(bench.rubber_pot_life),
            "timing": _timing(bench.rubber_timing),
            "least_batch": _batch(bench.rubber_batch),
        },
        "resin": cast_summary(bench.cast),
    }


def cast_summary(cast: CastBench) -> dict[str, Any]:
    """Return the resin side."""
    return {
        "pot_life": _life(cast.pot_life),
        "timing": _timing(cast.timing),
        "pressure": {
            "gauge_kpa": cast.pressing.gauge_kpa,
            "rating_gauge_kpa": cast.pressing.rating_gauge_kpa,
            "bubble_share": cast.pressing.bubble_share,
            "words": list(cast.pressing.words),
        },
        "least_batch": _batch(cast.batch),
    }


def _life(life: PotLife) -> dict[str, Any]:
    return {
        "stated_min": life.stated_min,
        "from_label": life.from_label,
        "room_celsius": life.room_c,
        "here_min": life.here_min,
        "words": list(life.words),
    }


def _timing(timing: Timing) -> dict[str, Any]:
    return {
        "verdict": timing.verdict,
        "steps_min": dict(timing.steps),
        "total_min": timing.total_min,
        "limit_min": timing.limit_min,
        "least_pot_life_min": timing.least_pot_life_min,
        "moves": timing.moves,
        "words": list(timing.words),
    }


def _batch(batch: LeastBatch) -> dict[str, Any]:
    return {"grams": batch.grams, "enough": batch.enough, "words": list(batch.words)}
