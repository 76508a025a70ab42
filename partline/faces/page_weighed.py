"""The cuts that were weighed, the chosen one first: a small table behind the coming out."""

from __future__ import annotations

import math

from partline.cut.alternatives import CutRow, cut_rows
from partline.cut.cut import Cut
from partline.faces.figures import System, count, length, plain
from partline.faces.page_pieces import Desk, small
from partline.faces.sheet_blocks import Block, Bold, Heading, Table, Text
from partline.faces.words import detail_grade, piece_side, short_verdict

_HEAD = ("cut", "length", "worst detail crossed (1: the finest here)", "nearest detail, your left",
         "nearest detail, your right", "seen on show", "clean-up a casting (default)",
         "stretch (estimate)", "rubber left whole")  # fmt: skip
_SHARES = (0.2, 0.08, 0.13, 0.09, 0.09, 0.07, 0.1, 0.14, 0.1)


def weighed_blocks(desk: Desk) -> tuple[Block, ...]:
    """Return the table of the cut and its alternatives; nothing where there is no other."""
    cut, system = desk.plan.cut, desk.system
    if not cut.alternatives:
        return ()
    rows = tuple(
        _row(one, row, system)
        for one, row in zip((cut, *cut.alternatives), cut_rows(cut), strict=True)
    )
    return (
        Heading("Also weighed"),
        Table(tuple((h,) for h in _HEAD), rows, _SHARES, "figures"),
        small("Stretch: if the piece snakes out to if it is pulled straight. The first row is the "
              "cut of this sheet; another one needs its own sheet."),
    )  # fmt: skip


def which_cuts(cut: Cut) -> str:
    """Return how many cuts and on which sides of the piece: "1 cut, back"."""
    if not cut.lines:
        return "no cut"
    sides = dict.fromkeys(x.side or piece_side(x.azimuth_deg, "resin") for x in cut.lines)
    over = ", over the floor" if any(x.over for x in cut.lines) else ""
    return f"{count(cut.count, 'cut')}, {' and '.join(sides)}{over}"


def _row(cut: Cut, row: CutRow, system: System) -> tuple[Text, ...]:
    verdict = f": {short_verdict(cut)}"
    name: Text = (Bold(which_cuts(cut)), f"{' (planned)' if row.chosen else ''}{verdict}")
    stretch = (f"{_share(row.stretch)} to {_share(row.stretch_straight)}",)
    web = (length(row.web_mm, system),)
    if not cut.lines:
        return (name, ("–",), ("none",), ("–",), ("–",), ("–",), ("–",), stretch, web)
    # The line keeps left and right with the mouth down; for the knife the block is turned over.
    return (
        name,
        (length(row.length_mm, system),),
        (f"{plain(row.worst_detail, 2)}, {detail_grade(row.worst_detail)}",),
        (_near(row.closest_right_mm, system),),
        (_near(row.closest_left_mm, system),),
        (f"{plain(100 * row.share_on_show, 0)} %",),
        (f"{plain(row.cleanup_min, 1)} min",),
        stretch,
        web,
    )


def _near(mm: float, system: System) -> str:
    return length(mm, system) if math.isfinite(mm) else "none near"


def _share(value: float) -> str:
    return f"{plain(100 * value, 0)} %" if math.isfinite(value) else "more than it can"
