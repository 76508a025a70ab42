"""The piece's outlines at true size, and at how many per cent a drawing is copied to match them."""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection, FillRule

from partline.faces.colours import INK
from partline.faces.drawings import EDGE, GHOST, Ghosts, Side
from partline.faces.figures import Said, System, length, plain
from partline.faces.page_pieces import Desk, small
from partline.faces.paper import Drawing, label, packed, path
from partline.faces.sheet_blocks import Block, Heading, Table, Text, TrueSize
from partline.faces.silhouette import silhouette
from partline.faces.words import has_height, piece_side, shrinkage_tag
from partline.geometry.solids import outline_of
from partline.plan import Plan

# Heights on a drawing that percentages are given for [mm]; the last is a sheet of A4.
DRAWN_MM = (100.0, 150.0, 200.0, 250.0, 297.0)
_EDGE_ROOM = 4.0


def reduction_percent(drawn_mm: float, wanted_mm: float) -> float:
    """Return at how many per cent a drawing is copied so that it comes out at a wanted height."""
    return 100.0 * wanted_mm / drawn_mm


def outline_blocks(desk: Desk) -> tuple[Block, ...]:
    """Return the table of percentages and the outlines to hold a drawing or a wax against."""
    plan, system = desk.plan, desk.system
    tall = plan.master.height_mm
    made = plan.production
    tag = shrinkage_tag(plan)
    larger = tall if made is None else made.size.needed_mm
    rows: tuple[tuple[Text, ...], ...] = (
        (("the master as it is, ", Said(length(tall, system), "yours" if
          has_height(plan) else "exact")),
         *((Said(_percent(drawn, tall), "exact"),) for drawn in DRAWN_MM)),
    )  # fmt: skip
    print_at: Text = ()
    if abs(larger / tall - 1.0) > 5e-5:
        print_at = (" They are those of the master as it is: for the larger one print them at ",
                    Said(_percent(tall, larger), tag), ".")  # fmt: skip
        rows += (
            (("a larger master, castings then as tall as this, ",
              Said(_fine(larger, system), tag)),
             *((Said(_percent(drawn, larger), tag),) for drawn in DRAWN_MM)),
        )  # fmt: skip
    head: tuple[Text, ...] = (
        ("copy a drawing to the size of",),
        *(((f"drawn {length(drawn, system)} tall",)) for drawn in DRAWN_MM),
    )
    return (
        Heading("From a drawing or a wax"),
        Table(head, rows, (0.3, 0.14, 0.14, 0.14, 0.14, 0.14), "figures"),
        small("Copy a drawing at the percentage under its height: height wanted ÷ height drawn. "
              "Hold the copy, or a wax, against the outlines at true size.", *print_at),
        TrueSize("Outlines of the piece, 1:1", "",
                 packed(outline_drawings(plan, desk.outlines, system), *desk.room)),
    )  # fmt: skip


def outline_drawings(plan: Plan, outlines: Ghosts, system: System) -> list[Drawing]:
    """Return the piece's outline from the front and from one side, as it stands, at true size."""
    return [
        _drawing(plan, outlines, Side(0, False), "Seen from the front", system),
        _drawing(plan, outlines, Side(90, False),
                 f"Seen from the {piece_side(90.0, 'resin')}, its front toward you", system),
    ]  # fmt: skip


def _percent(drawn: float, wanted: float) -> str:
    return f"{plain(reduction_percent(drawn, wanted), 1)} %"


def _fine(mm: float, system: System) -> str:
    return f"{plain(mm, 2)} mm" if system == "mm" else length(mm, system)


def _drawing(plan: Plan, outlines: Ghosts, view: Side, title: str, system: System) -> Drawing:
    stand = plan.stand
    seat, top = stand.seat_mm, stand.top_mm
    if stand.sink_mm:  # what is cast, without the foot block: all of it lies above the seat
        seen = CrossSection(outlines.seen(view), FillRule.EvenOdd)
        left, _, right, _ = seen.bounds()
        room = [[left - 1, -top - 1], [right + 1, -top - 1], [right + 1, -seat], [left - 1, -seat]]
        shown = list(outline_of(seen ^ CrossSection([np.array(room)], FillRule.EvenOdd)))
    else:
        alone = silhouette(stand.piece, view.right, view.up)
        shown = [o * (1.0, -1.0) for o in alone]
    every = np.vstack(shown)
    low, high = every.min(axis=0), every.max(axis=0)
    body = (
        f'<path d="{path(shown)}" fill="{GHOST}" fill-rule="evenodd" stroke="{EDGE}" '
        f'stroke-width="0.2"/><path d="M{low[0] - 3:.2f} {-seat:.2f}H{high[0] + 3:.2f}" '
        f'stroke="{INK}" stroke-width="0.3"/>'
    )
    body += label((low[0] + high[0]) / 2, -seat + 4.0, "stands here", size=2.6, anchor="middle")
    wide = high[0] - low[0] + 2 * _EDGE_ROOM
    notes = f"{length(top - seat, system)} from the line to the highest point."
    return Drawing(title, float(low[0]) - _EDGE_ROOM, -top - _EDGE_ROOM, float(wide),
                   float(high[1]) + top + _EDGE_ROOM + 7.0, body, notes)  # fmt: skip
