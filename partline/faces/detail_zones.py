"""The zones of detail in words, numbered as in the picture, and where sharp edges run."""

from __future__ import annotations

from partline.detail.edge_runs import convex_runs
from partline.faces.figures import Said, System, length, plain
from partline.faces.page_pieces import small
from partline.faces.scene import NUMBERED
from partline.faces.sheet_blocks import Block, Inline, Table, Text
from partline.faces.words import place_words
from partline.plan import Plan

_HEAD: tuple[Text, ...] = (
    ("detail",), ("where its middle is",), ("area",), ("finest scale seen",),
    ("greatest relief (Sq)",), ("slope (Sdq)",),
)  # fmt: skip
_TERMS = (
    "Relief is the spread of the skin’s height about its own mean, slope its root-mean-square "
    "gradient; Sq and Sdq are the words of ISO 25178-2 for them (from memory, its text not "
    "opened), smoothed here on the mesh, not by the standard’s filters on a plane."
)
# As low as this above the seat an edge is that of the base [mm].
_AT_BASE = 0.5
_RUNS = 4


def zone_blocks(plan: Plan, system: System) -> tuple[Block, ...]:
    """Return a table of the largest zones, if any part stands out, and where sharp edges run."""
    return (*_table(plan, system), *_edges(plan, system))


def _table(plan: Plan, system: System) -> tuple[Block, ...]:
    zones = plan.detail.zones
    if not zones:
        return ()
    rows = tuple(
        (
            (f"D{number}",),
            (place_words(zone.centre_mm, plan.stand, system),),
            (Said(f"{plain(zone.area_mm2, 0)} mm²", "estimate"),),
            (Said(f"{plain(zone.finest_mm, 1)} mm", "estimate"),),
            (Said(f"{plain(zone.relief_mm, 2)} mm", "estimate"),),
            (Said(plain(zone.slope, 2), "estimate"),),
        )
        for number, zone in enumerate(zones[:NUMBERED], 1)
    )
    blocks: list[Block] = [Table(_HEAD, rows, (0.09, 0.27, 0.17, 0.16, 0.18, 0.13), "figures")]
    if len(zones) > NUMBERED:
        left = sum(zone.area_mm2 for zone in zones[NUMBERED:])
        blocks.append(small(f"And {len(zones) - NUMBERED} smaller, together ",
                            Said(f"{plain(left, 0)} mm²", "estimate"), "."))  # fmt: skip
    blocks.append(small(_TERMS))
    return tuple(blocks)


def _edges(plan: Plan, system: System) -> tuple[Block, ...]:
    """Return one line: how long the sharp edges that stand out are, and where."""
    runs = convex_runs(plan.stand.piece, plan.detail)
    if not runs:
        return ()
    base = [run for run in runs if run.high_mm <= plan.stand.seat_mm + _AT_BASE]
    rest = [run for run in runs if run.high_mm > plan.stand.seat_mm + _AT_BASE]
    where: list[tuple[float, str]] = [(sum(run.length_mm for run in base), "round the base")]
    where = where if base else []
    where += [(r.length_mm, place_words(r.place_mm, plan.stand, system)) for r in rest[:_RUNS]]
    more = sum(run.length_mm for run in rest[_RUNS:])
    where += [(more, f"in {len(rest) - _RUNS} shorter runs")] if more else []
    said: list[Inline] = [
        "Sharp edges that stand out, where a cut hides and a seam is easy to scrape, and where a "
        "brushed coat pulls thin: ",
        Said(length(sum(run.length_mm for run in runs), system), "estimate"), " in all: ",
    ]  # fmt: skip
    for number, (long, place) in enumerate(where):
        said += ["; " if number else "", Said(length(long, system), "estimate"), f" {place}"]
    return (small(*said, "."),)
