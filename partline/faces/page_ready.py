"""Before resin is mixed: the vents to make, the narrow ends to brush, with their pictures."""

from __future__ import annotations

from partline.faces import ready_words as told
from partline.faces.air_drawings import Mark, marked_views
from partline.faces.colours import BRUSH, VENT
from partline.faces.figures import Said, bubble, length
from partline.faces.page_pieces import Desk, small
from partline.faces.retold import retold
from partline.faces.sheet_blocks import Block, Bold, Drawings, Heading, Line, Table, Text, Together
from partline.plan import Plan


def ready_blocks(desk: Desk) -> tuple[Block, ...]:
    """Return the vents and the narrow ends of the resin pour; nothing where there are none."""
    plan = desk.plan
    vents, ends = _vents(desk), _ends(desk)
    if not (vents or ends):
        return ()
    views = marked_views(desk.outlines, _marks(plan), mouth_up=True, high_mm=62.0)
    if not ends:
        return (Together((*vents, Drawings(views))),)
    return (*((Together(vents),) if vents else ()), Together((*ends, Drawings(views))))


def _marks(plan: Plan) -> tuple[Mark, ...]:
    found = plan.resin_pour.vents
    vents = found.vents if found is not None else ()
    ends = plan.resin_pour.narrow_ends
    return (
        *(Mark(told.vent_name(k), v.place, VENT, v.exit) for k, v in enumerate(vents)),
        *(Mark(told.brush_name(k), e.tip, BRUSH) for k, e in enumerate(ends)),
    )


def _vents(desk: Desk) -> tuple[Block, ...]:
    """Return the table of vents, what they come to, and what they cannot."""
    plan, found = desk.plan, desk.plan.resin_pour.vents
    if found is None or not (found.vents or found.unvented):
        return ()
    blocks: list[Block] = [Heading("Vents: for the air that tipping and rocking leave")]
    rows = told.vent_rows(plan.resin_pour, plan.stand, desk.system)
    if rows:
        head = ("vent", "its end: on the piece as it stands, front toward you", "the block turned "
                "over, it runs", "long (exact)", "lets out (exact)")  # fmt: skip
        blocks.append(Table(
            tuple((h,) for h in head),
            tuple(
                ((Bold(str(r["number"])), f" {r['empties']}"),
                 (f"{r['place']}, {r['detail']}",), (r["way"],), (r["long"],), (r["saves"],))
                for r in rows
            ),
            (0.14, 0.3, 0.22, 0.17, 0.17),
        ))  # fmt: skip
        blocks.append(Line((
            "Before the rubber is poured: a rod ", _wide(desk), " thick from the floor of the cup "
            "to the piece at each, glued at both ends (the mouth disc shows where). In a block "
            "that is already there: from inside, push a sharpened tube through to the mouth face.",
        )))  # fmt: skip
    largest = Said(bubble(found.largest_mm3), "default" if plan.job.vents.largest_air_mm3 is None
                   else "yours")  # fmt: skip
    blocks += [small("So much air may stay: ", largest, "."),
               *(small(retold(w, plan.stand)) for w in (*found.words,
                 *told.unvented_words(plan.resin_pour)))]  # fmt: skip
    return tuple(blocks)


def _wide(desk: Desk) -> Said:
    found, asked = desk.plan.resin_pour.vents, desk.plan.job.vents.diameter_mm
    wide = found.vents[0].diameter_mm if found is not None and found.vents else 0.0
    return Said(length(wide, desk.system), "default" if asked is None else "yours")


def _ends(desk: Desk) -> tuple[Block, ...]:
    """Return the table of narrow ends that resin may bridge, whatever way the mould is tipped."""
    rows = told.brush_rows(desk.plan.resin_pour, desk.plan.stand, desk.system)
    if not rows:
        return ()
    head = ("end", "where: on the piece as it stands, front toward you", "deep (estimate)",
            "wide (estimate)", "what it is")  # fmt: skip
    cells: tuple[tuple[Text, ...], ...] = tuple(
        ((Bold(str(r["number"])),), (r["place"],), (r["deep"],), (r["wide"],), (r["kind"],))
        for r in rows
    )
    gap = desk.known.value("air.neck_mm")
    pour = desk.plan.resin_pour
    more = told.brush_more(pour)
    others = " The others get talc beforehand." if pour.dusted else ""
    return (
        Heading("Brush resin in here before closing" if pour.brush_in_time else
                "Narrow ends: dust talc in, there is no time to brush"),
        Table(tuple((h,) for h in head), cells, (0.08, 0.44, 0.16, 0.16, 0.16)),
        small(f"Dead ends narrower than {gap:g} mm: resin may bridge them whichever way the mould "
              f"is tipped. The most detail first. {more} A brushed end takes about "
              f"{desk.known.value('casting.brush_s'):g} s of the pot life: there is time for "
              f"{pour.brush_in_time} of {len(rows)}.{others}"),
    )  # fmt: skip
