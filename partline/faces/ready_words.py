"""What is got ready for the resin, in words: vents, brushing, the cuts, what stays and why."""

from __future__ import annotations

import numpy as np

from partline.air.rising import Rise
from partline.air.vent import Vent
from partline.faces.figures import Said, System, bubble, count, length, plain
from partline.faces.view import View
from partline.faces.words import bench_side, place_words
from partline.geometry.directions import azimuth_of
from partline.plan import Plan, Pour
from partline.stand.stand import Stand


def vent_rows(pour: Pour, stand: Stand, system: System = "mm") -> list[dict[str, Said | str]]:
    """Return each vent of the resin pour: its number, place, way out, and what it saves."""
    found = pour.vents
    if found is None:
        return []
    return [
        {
            "number": vent_name(k),
            "empties": f"place {v.pocket + 1}",
            "place": place_words(v.place, stand, system),
            "way": _way(v),
            "long": Said(length(v.length_mm, system), "exact"),
            "saves": Said(bubble(v.saves_mm3), "exact"),
            "detail": "on plain skin" if v.detail < 0.2 else "on detail: dress its stub with care",
        }
        for k, v in enumerate(found.vents)
    ]


def vent_name(k: int) -> str:
    """Return what a vent is called on the sheet and in the pictures."""
    return f"V{k + 1}"


def brush_name(k: int) -> str:
    """Return what a narrow end is called on the sheet and in the pictures."""
    return f"B{k + 1}"


def _way(vent: Vent) -> str:
    """Return how a vent runs, the block turned over, front mark toward you."""
    if vent.lean_deg < 1.0:
        return "straight up"
    toward = bench_side(azimuth_of(vent.direction, "resin"))
    return f"up, leaning {plain(vent.lean_deg, 0)}° toward your {toward}"


def brush_rows(pour: Pour, stand: Stand, system: System = "mm") -> list[dict[str, Said | str]]:
    """Return the narrow ends to brush resin into, the most detail first."""
    return [
        {
            "number": brush_name(k),
            "place": place_words(end.tip, stand, system),
            "deep": Said(length(end.depth_mm, system), "estimate"),
            "wide": Said(length(end.width_mm, system), "estimate"),
            "kind": "groove or edge" if end.groove else "narrow end",
        }
        for k, end in enumerate(pour.narrow_ends)
    ]


def brush_more(pour: Pour) -> str:
    """Return how many narrow ends are left out of the rows; empty where none."""
    more = len(pour.brush_first) - len(pour.narrow_ends)
    return f"And {count(more, 'narrow end')} with less detail." if more > 0 else ""


def kept_words(plan: Plan) -> tuple[str, ...]:
    """Return for each place that keeps air after the moves how much, and why."""
    pour = plan.resin_pour
    if pour.rocking is None:
        return ()
    apexes = np.array([p.apex for p in pour.level.pockets]).reshape(-1, 3)
    said = []
    for kept in pour.rocking.kept:
        number = int(np.argmin(np.linalg.norm(apexes - kept.apex, axis=1))) + 1
        said.append(f"Place {number} keeps {bubble(kept.volume_mm3)} after the moves: {kept.why}.")
    return tuple(said)


def unvented_words(pour: Pour) -> tuple[str, ...]:
    """Return where air stays with all vents open, and why no vent is planned there."""
    if pour.vents is None or pour.vents.before_mm3 <= pour.vents.largest_mm3:
        return ()
    vented = {v.pocket for v in pour.vents.vents}
    return tuple(
        f"{'With its vent' if u.pocket in vented else 'No vent:'} place {u.pocket + 1} keeps "
        f"{bubble(u.volume_mm3)}: {u.why}."
        for u in pour.vents.unvented
    )


def cut_air_words(plan: Plan) -> tuple[str, ...]:
    """Return which places the cuts run through, and what could leave there."""
    several = len(plan.cut.lines) > 1
    return tuple(
        f"Cut{f' {at.line + 1}' * several} runs through place {at.pocket + 1}: lips left a hair "
        f"open there would let out {bubble(at.frees_mm3)} of its air and keep "
        f"{bubble(at.stays_mm3)} (estimate: banded lips may hold tight)."
        for at in plan.resin_pour.cut_air
        if at.frees_mm3 > 0.0
    )


def rise_words(rise: Rise | None, liquid: str, system: System = "mm") -> str:
    """Return whether a small bubble leaves in time; empty where it was not worked out."""
    if rise is None:
        return ""
    ball = length(rise.diameter_mm, system)
    said = (
        f"A {ball} bubble rises about {_speed(rise.speed_mm_s, system)} in this {liquid}; from the "
        f"far end, {length(rise.height_mm, system)}, that takes {_time(rise.needs_s)}. "
    )
    if rise.has_s is None:
        return said + "How long there is, only the label tells (estimate, small ball in still " \
                      "liquid)."  # fmt: skip
    verdict = (
        "it leaves in time"
        if rise.in_time
        else f"it does not leave in time, unless it is no deeper than {_reach(rise, system)}"
    )
    return (
        said + f"There are {_time(rise.has_s)} before it thickens: {verdict} (estimate, small ball "
        "in still liquid)."
    )


def _reach(rise: Rise, system: System) -> str:
    return length(rise.reach_mm or 0.0, system)


def _speed(mm_s: float, system: System) -> str:
    if mm_s >= 0.1:
        return f"{length(mm_s, system)} a second"
    return f"{length(60.0 * mm_s, system)} a minute"


def _time(seconds: float) -> str:
    if seconds < 120.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 7200.0 else f"{seconds / 3600.0:.1f} h"


def ready_lines(plan: Plan, view: View, system: System = "mm") -> tuple[str, ...]:
    """Return what the window says beside the places of the pour that is shown."""
    if view.pour == "rubber":
        said = rise_words(plan.rubber_pour.rise, "rubber", system)
        return (said,) if said else ()
    pour = plan.resin_pour
    stop = (
        "Stop the vents with a bit of clay while the mould is filled, tipped and rocked; open "
        "them when it stands upright, and top up until resin shows in each."
    )
    rise = rise_words(pour.rise, "resin", system)
    return (
        *kept_words(plan),
        *marks_lines(plan.resin_pour, plan.stand, system),
        *((stop,) if pour.stubs else ()),
        *unvented_words(pour),
        *cut_air_words(plan),
        *((rise,) if rise else ()),
    )


def marks_lines(pour: Pour, stand: Stand, system: System = "mm") -> tuple[str, ...]:
    """Return a sentence for each vent and each narrow end of the resin pour, by its name."""
    vents = tuple(
        f"Vent {r['number']} in {r['empties']}: {r['way']}, {_words(r['long'])} long, lets out "
        f"{_words(r['saves'])}."
        for r in vent_rows(pour, stand, system)
    )
    brush = tuple(
        f"{'Brush resin' if k < pour.brush_in_time else 'Dust talc'} into {r['number']} before "
        f"closing: {r['place']}, {_words(r['deep'])} deep, {_words(r['wide'])} wide."
        for k, r in enumerate(brush_rows(pour, stand, system))
    )
    return (*vents, *brush)


def _words(said: Said | str) -> str:
    return said if isinstance(said, str) else said.words
