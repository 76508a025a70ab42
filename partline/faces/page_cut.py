"""The knife: where the cuts start, how far they go, the block seen through, coming out."""

from __future__ import annotations

import math
from typing import Any

from partline.cut.cut import RubberLoop
from partline.faces import sheet_parts as parts
from partline.faces.cut_drawings import cut_views
from partline.faces.discs import mouth_disc
from partline.faces.far_disc import far_disc
from partline.faces.figures import Said, length
from partline.faces.page_pieces import Desk, small
from partline.faces.page_weighed import weighed_blocks
from partline.faces.paper import Drawing, packed
from partline.faces.retold import cut_notes
from partline.faces.sheet_blocks import (
    Big,
    Block,
    Bold,
    Drawings,
    Line,
    Page,
    Picture,
    Steps,
    Table,
    Text,
    Together,
    TrueSize,
    sentence,
)
from partline.faces.words import notch_side, place_words
from partline.faces.wrap_drawing import wrap_drawing
from partline.plan import Plan


def cut_page(desk: Desk) -> Page:
    """Return the page of the cut, its drawings at true size after it."""
    plan, system = desk.plan, desk.system
    cuts = parts.cuts(plan, system)
    blocks: list[Block] = [*_depths(desk, cuts)] if cuts else [Line(("No cut",), "act")]
    beside, _ = cut_notes(plan, system)
    blocks += _slits(desk)
    blocks += [Line((Bold(sentence(w)),)) for w in beside]
    blocks.append(desk.caution("cutting"))
    blocks.append(Picture("cut", "the cut on the piece as it stands, mouth down", 76.0))
    blocks.append(
        TrueSize("Where the cuts start" if cuts else "The mouth", "",
                 packed(_discs(plan), *desk.room))
    )  # fmt: skip
    if plan.card is not None and plan.card.cuts:
        blocks.append(Together((
            Line(("On the outside of the block, laid flat: how deep at each mark.",)),
            Drawings((wrap_drawing(plan.card, notch_deg=notch_side(plan), wide_mm=desk.room[0]),)),
        )))  # fmt: skip
    if cuts:
        blocks.append(
            TrueSize(
                "The block seen through from four sides, mouth up",
                "Whole line: on the side toward you; dashed: on the far side. Hatched: do not "
                "cut. Degrees run clockwise from the front mark, looking into the mouth.",
                packed(cut_views(plan, desk.outlines, system), *desk.room),
            )
        )
    return Page("Turn it over and cut", "3", tuple(blocks))


def _discs(plan: Plan) -> list[Drawing]:
    """Return the mouth disc, and the far-face disc where a cut runs over the floor."""
    far = None if plan.card is None else far_disc(plan.card)
    return [mouth_disc(plan), *([far] if far is not None else [])]


def _depths(desk: Desk, cuts: list[dict[str, Any]]) -> tuple[Block, ...]:
    plan, system = desk.plan, desk.system
    web = Said(length(plan.cut.web_mm, system), "exact")
    least = Said(length(parts.least_web_mm(plan), system), "exact")
    stays = f" of rubber stays whole {parts.web_place(plan.cut)}; never leave less than "
    rows = tuple(
        (
            (Bold(f"cut {c['number']}"), ": ", c["at"], f", your {c['side']}"),
            (Big(c["try"]),),
            (Big(c["likely"]),),
            (Big(c["never"]),),
        )
        for c in cuts
    )
    beside = tuple(
        ((Bold(f"cut {c['number']}"),), (c["left"],), (c["right"],), (c["length"],)) for c in cuts
    )
    return (
        Line((
            "Mouth up, front mark toward you. Start at the rim of the mouth, as the mouth disc "
            "shows, and follow the line down. Jagged in the outer rubber so that it closes again; "
            f"{_INSIDE[plan.job.cut.next_to_piece]} ",
            Bold("Stop at each depth and try."),
        )),
        Table(
            ((_measured(plan),), ("try here (ring)",), ("likely (dot)",), ("never past (bar)",)),
            rows,
            (0.22, 0.26, 0.26, 0.26),
            "scale",
        ),
        Line((
            "Cut to the “likely” marks, ", web, stays, least, ". A hand cuts within 2 to 3 mm: "
            "keep that in mind where detail is near.",
        )),
        Table(
            (("",), ("on your left as you cut",), ("on your right as you cut",),
             ("length on the piece",)),
            beside,
            (0.1, 0.37, 0.37, 0.16),
        ),
        small("Places are said on the piece as it stands (mouth down), front toward you; left and "
              "right of the cut as you hold it (mouth up)."),
    )  # fmt: skip


def _slits(desk: Desk) -> tuple[Block, ...]:
    """Return the bridges of rubber that are slit once the lips are open, largest first."""
    plan, system = desk.plan, desk.system
    if not plan.cut.slits:
        return ()
    rows = tuple(
        (
            (Bold(f"S{number}"),),
            (place_words(loop.place_mm, plan.stand, system),),
            (Said(length(loop.opening_mm, system), "estimate"),),
            (_slit_from(loop, length(loop.cut_mm, system)),),
            (f"stretches {100 * loop.stretch:.0f} %" if math.isfinite(loop.stretch)
             else "stays on the piece",),
        )
        for number, loop in enumerate(plan.cut.slits, 1)
    )  # fmt: skip
    head = ("slit", "the hole it passes through", "thick", "slit it from", "or else it")
    return (
        Line((Bold("Once the lips are open, slit these bridges of rubber too:"),)),
        Table(tuple((words,) for words in head), rows, (0.07, 0.33, 0.17, 0.23, 0.2)),
    )


def _slit_from(loop: RubberLoop, far: str) -> str:
    return f"by itself, {far} from any cut" if loop.apart else f"cut {loop.line + 1}, {far} away"


def _measured(plan: Plan) -> str:
    """Return what the three marks are measured along, and from where."""
    over = any(line.over is not None for line in plan.cut.lines)
    return "across the floor, " * over + parts.stops_from(plan.cut)


def demould_page(desk: Desk) -> Page:
    """Return the page of coming out, the cuts that were weighed in small behind it."""
    release = parts.demould(desk.plan)
    cuts = bool(desk.plan.cut.lines)
    rings: Text = ("Cut to the “likely” marks, the" if cuts else "The", " rubber stretches ",
                   release["snaking"], " if the piece snakes out and ", release["straight"],
                   " if it is pulled straight; it takes ", release["working"],
                   " again and again.")  # fmt: skip
    blocks: list[Block] = [
        Line((sentence(release["verdict"]),), "act"),
        Line(rings),
        Steps(_WITH_CUTS if cuts else _WITHOUT),
        desk.caution("demould"),
        *weighed_blocks(desk),
    ]
    return Page("Bring it out", "4", tuple(blocks))


_INSIDE = {
    "smooth": "smooth for the last few millimetres at the piece.",
    "jagged": "jagged all the way in to the piece.",
}

_WITH_CUTS: tuple[Text, ...] = (
    ("Let it cool to hand warmth. Loosen the block in its container all round.",),
    ("Open the lips a little at the mouth and work down, both hands, no tool between rubber and "
     "piece.",),
    ("Let the piece snake: free the widest part first, then turn it out; do not pull it "
     "straight.",),
    ("If the lips whiten or a cut runs on by itself, ", Bold("stop and cut further"),
     " instead of pulling.",),
)  # fmt: skip

_WITHOUT: tuple[Text, ...] = (
    ("Let it cool to hand warmth. Take the block out of its container.",),
    ("Bend the rim away from the piece all round, then the floor; let air in behind it.",),
    ("If the rubber whitens anywhere, ", Bold("stop and loosen it further"),
     " instead of pulling.",),
)  # fmt: skip
