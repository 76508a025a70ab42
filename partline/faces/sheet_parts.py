"""What each page of the bench sheet says, worked out from the plan; no layout here."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from partline.air.pockets import NARROW_MM
from partline.cut.cut import Cut, CutLine
from partline.faces.air_rows import AirRow, AirTable, air_table, kept_level
from partline.faces.cut_starts import start_deg
from partline.faces.figures import (
    Said,
    System,
    Tag,
    ball_mm,
    bubble,
    bulk,
    count,
    gauge,
    length,
    plain,
    scale_decimals,
    weight,
)
from partline.faces.left_open import grams_said, rubber_open_g
from partline.faces.words import (
    bench_side,
    clearance_words,
    opposite,
    piece_side,
    place_words,
    prop_mm,
    short_verdict,
    tip_words,
    way_to_tip,
    worth_tipping,
)
from partline.geometry.directions import Pour as PourName
from partline.job import MaterialPart
from partline.plan import Plan, Pour
from partline.workshop.materials import defaults
from partline.workshop.mix import Mix
from partline.workshop.pressure import local_kpa


def weighing(
    mix: Mix | None, total_g: float, material: MaterialPart, resolution_g: float
) -> dict[str, Any]:
    """Return the rows of a weighing table, or blanks to fill in when the ratio is not known."""
    tag = mass_tag(material)
    decimals = scale_decimals(resolution_g)
    rows = []
    if mix is not None:
        rows = [
            {
                "part": part,
                "grams": Said(f"{grams:.{decimals}f} g", tag),
                "reads": Said(f"{reads:.{decimals}f}", tag),
            }
            for part, grams, reads in zip(mix.parts, mix.grams, mix.scale_reads, strict=True)
        ]
    return {
        "kind": material.kind,
        "rows": rows,
        "total": Said(weight(mix.total_g if mix else total_g, decimals=decimals), tag),
        "words": mix.words if mix else (),
        "error": plain(100 * mix.ratio_error, 1) if mix else "",
        "pot_life": (
            Said(f"{plain(material.pot_life_min)} min", "yours")
            if material.pot_life_min is not None
            else None
        ),
    }


def mass_tag(material: MaterialPart) -> Tag:
    """A weight is as good as the density it rests on."""
    return "default" if material.density is None else "estimate"


def air(plan: Plan, pour: Pour, name: PourName, system: System) -> dict[str, Any]:
    """Return the air of one pour: totals, the tip, the numbered rows."""
    tip = worth_tipping(pour)
    rocked = pour.rocking is not None and bool(pour.rocking.moves)
    found = air_table(pour) if tip or rocked else kept_level(air_table(pour))
    down, tilt = way_to_tip(pour)
    base = plan.container.floor_width_mm
    return {
        "name": name,
        "level": Said(bubble(pour.level.volume_mm3), "exact"),
        "fine": Said(bubble(pour.level.fine_mm3), "exact"),
        "tipped": Said(bubble(_left_mm3(pour, tip)), "exact"),
        "gap": Said(bubble(pour.directions.gap_mm3), "exact"),
        "cone": plain(pour.directions.within_deg, 0),
        "tip": tip,
        "changed": tip or rocked,
        "rocked": rocked,
        "how": "tipped and rocked as said" if rocked else "tipped as said",
        "tip_words": tip_words(pour, name),
        "tilt": Said(f"{plain(tilt, 0)}°", "estimate"),
        "down_side": bench_side(down),
        "down": Said(f"{plain(down, 0)}°", "estimate"),
        "up_side": bench_side(opposite(down)),
        "piece_side": piece_side(down, name),
        "prop": Said(length(prop_mm(tilt, base), system), "estimate"),
        "base": length(base, system),
        "closed": (
            Said(bubble(pour.level.closed_mm3), "exact") if pour.level.closed_mm3 > 0 else None
        ),
        "rows": air_rows(plan, found, system),
        "more": count(found.more, "smaller place"),
        "more_any": found.more > 0,
        "more_mm3": Said(bubble(found.more_mm3), "exact"),
        "table": found,
    }


def _left_mm3(pour: Pour, tip: bool) -> float:
    """Return the air that is left when all is done that is said [mm^3]."""
    if pour.rocking is not None:
        return pour.rocking.after_mm3
    if pour.tipped is not None and tip:
        return pour.tipped.left_mm3
    return (pour.best if tip else pour.level).volume_mm3


def air_rows(plan: Plan, found: AirTable, system: System) -> list[dict[str, Any]]:
    """Return the table of numbered places as words."""
    return [
        {
            "number": r.number,
            "place": place_words(r.apex, plan.stand, system),
            "level": bubble(r.level_mm3) if r.level_mm3 > 0 else "–",
            "ball": length(ball_mm(r.level_mm3 or r.tipped_mm3), system),
            "ball_level": length(ball_mm(r.level_mm3), system) if r.level_mm3 > 0 else "",
            "ball_tipped": length(ball_mm(r.tipped_mm3), system) if r.tipped_mm3 > 0 else "",
            "tipped": bubble(r.tipped_mm3) if r.tipped_mm3 > 0 else "none",
            "wide": _clears(r, system),
        }
        for r in found.rows
    ]


def _clears(row: AirRow, system: System) -> str:
    """Return whether a place clears by itself: no where its air has to pass a narrow way."""
    if row.wide_enough:
        return "yes"
    # Its own door may be wide, and a narrow way lie farther on or higher up in it.
    narrow = length(row.neck_mm, system) if row.neck_mm < NARROW_MM else "narrow"
    return f"no: {narrow} neck, may stay"


def cuts(plan: Plan, system: System) -> list[dict[str, Any]]:
    """Return one entry a cut: where it starts, its three depths, what lies beside it."""
    return [_cut(plan, line, n, system) for n, line in enumerate(plan.cut.lines, 1)]


def _cut(plan: Plan, line: CutLine, number: int, system: System) -> dict[str, Any]:
    left, right = clearance_words(line, plan.stand, system)
    depths = [length(_way_mm(plan, line, place), system) for place in _places(line)]
    return {
        "number": number,
        "at": Said(f"{plain(start_deg(plan, number), 0)}°", "exact"),
        "side": bench_side(start_deg(plan, number)),
        "piece_side": piece_side(line.azimuth_deg, "resin"),
        "try": Said(depths[0], "estimate"),
        "likely": Said(depths[1], "estimate"),
        "never": Said(depths[2], "exact"),
        "left": Said(left, "exact"),
        "right": Said(right, "exact"),
        "length": Said(length(line.length_mm, system), "exact"),
        "cleanup": Said(f"{plain(line.cleanup_min, 0)} min", "default"),
        "show": plain(100 * line.share_on_show, 0),
    }


def three_depths(plan: Plan, line: CutLine, system: System) -> list[str]:
    """Return how far to try, to cut and never to go."""
    return [depth_words(plan, line, place, system) for place in _places(line)]


def _places(line: CutLine) -> tuple[float, float, float]:
    marks = line.over or line.marks
    return marks.try_here_mm, marks.likely_mm, marks.never_past_mm


def depth_words(plan: Plan, line: CutLine, place_mm: float, system: System) -> str:
    """Return how far a line is cut that ends at a place, from where its marks are measured.

    Parameters
    ----------
    place_mm : float
        Depth below the mouth face; over the floor: along the way to the hinge [mm].
    """
    far = length(_way_mm(plan, line, place_mm), system)
    return far if line.over is None else f"{far} across the floor"


def _way_mm(plan: Plan, line: CutLine, place_mm: float) -> float:
    """Return how far a place is from the mouth face, or from the side a line over it starts on."""
    if line.over is None:
        return place_mm
    start = float((plan.stand.piece.vertices @ np.array(line.over.toward)).min())
    return place_mm - start + plan.stand.wall_mm


def stops_from(cut: Cut) -> str:
    """Return what the three marks of the table are measured from."""
    over = any(line.over is not None for line in cut.lines)
    return "from the side it starts on" if over else "depth below the mouth face"


def web_place(cut: Cut) -> str:
    """Return where the web of a cut stays whole."""
    over = next((line.over for line in cut.lines if line.over is not None), None)
    return "at the far face" if over is None else f"beside the hinge, on the {over.hinge}"


def demould(plan: Plan) -> dict[str, Any]:
    """Return what the rubber must stretch, and the verdict."""
    cut = plan.cut

    def share(value: float) -> str:
        return f"{plain(100 * value, 0)} %" if math.isfinite(value) else "more than it can"

    return {
        "verdict": short_verdict(cut),
        "snaking": Said(share(cut.stretch), "estimate"),
        "straight": Said(share(cut.stretch_straight), "estimate"),
        "working": Said(share(cut.working_strain), "default"),
    }


def least_web_mm(plan: Plan) -> float:
    """Return the rubber that stays beyond the last mark of any cut [mm]."""
    overs = [line.over for line in plan.cut.lines if line.over is not None]
    if overs:
        return min(over.web_mm - (over.never_past_mm - over.likely_mm) for over in overs)
    deepest = max((line.marks.never_past_mm for line in plan.cut.lines), default=0.0)
    return plan.container.fill_height_mm - deepest


def casting_limits(plan: Plan) -> dict[str, Any]:
    """Return what the user's pot allows, and the least batch when this one is smaller."""
    shop = plan.job.shop
    known = defaults(shop.defaults)
    pot = None
    if plan.bench is not None:
        press = plan.bench.cast.pressing
        if press.gauge_kpa is not None and press.rating_gauge_kpa is not None:
            pot = {"plate": Said(gauge(press.rating_gauge_kpa), "yours"),
                   "use": Said(gauge(press.gauge_kpa), "default")}  # fmt: skip
    elif shop.pressure_pot_rating_kpa is not None:
        plate = shop.pressure_pot_rating_kpa - local_kpa(shop.altitude_m)
        usual = known.value("casting.pressure_usual_kpa")
        use = min(usual, known.value("casting.pressure_share") * plate)
        pot = {"plate": Said(gauge(plate), "yours"), "use": Said(gauge(use), "default")}
    least = known.value("casting.least_batch_g")
    small = plan.resin.mix_g < least
    return {"pot": pot, "small_batch": Said(weight(least), "default") if small else None}


def container(plan: Plan, system: System) -> dict[str, Any]:
    """Return the container in words, its sizes tagged by who measured it."""
    box = plan.container
    tag: Tag = "yours" if box.own else "default"
    across = length(box.floor_width_mm, system)
    if box.kind == "box":
        across = f"{across} × {length(box.floor_depth_mm, system)}"
    return {
        "name": box.name,
        "floor": Said(across, tag),
        "rim": Said(length(box.rim_width_mm, system), tag),
        "height": Said(length(box.height_mm, system), tag),
        "source": box.source,
        "fill": Said(length(box.fill_height_mm, system), "exact"),
        "fill_line": Said(length(box.fill_line_mm, system), tag),
        "wall": Said(length(box.wall_mm, system), tag),
        "rubber": grams_said(box.rubber_g, rubber_open_g(plan), mass_tag(plan.job.rubber)),
        "rubber_bulk": Said(bulk(box.rubber_volume_mm3, system), "estimate"),
        "degassing": Said(bulk(plan.degassing_cup_mm3, system), "default"),
        "others": [(name, weight(grams)) for name, grams in box.others[:4]],
        "too_small": box.too_small[:4],
        "words": box.words,
    }
