"""After each pull: holes and lumps with pictures, scraping, priming, care of the mould."""

from __future__ import annotations

from typing import Any

from partline.faces import sheet_parts as parts
from partline.faces.air_drawings import air_views
from partline.faces.figures import Said, plain
from partline.faces.page_pieces import Desk, small
from partline.faces.sheet_blocks import (
    Block,
    Bold,
    Box,
    Drawings,
    Heading,
    Inline,
    Line,
    Page,
    Steps,
    Table,
    Text,
)
from partline.faces.words import scrape_words


def after_page(desk: Desk) -> Page:
    """Return the page of what a casting needs once it is out."""
    plan, system = desk.plan, desk.system
    resin = parts.air(plan, plan.resin_pour, "resin", system)
    rubber = parts.air(plan, plan.rubber_pour, "rubber", system)
    blocks: list[Block] = [desk.caution("demould"), *_scrape(desk)]
    how = resin["how"].removesuffix(" as said")
    blocks += [*_places(desk, resin, "Holes to fill: numbers of the resin’s table",
                        "No hole is to be expected.", how)]  # fmt: skip
    blocks += [*_places(desk, rubber, "Lumps to shave off: numbers of the rubber’s table",
                        "No lump is to be expected.", "propped up")]  # fmt: skip
    blocks += [
        Heading("Fill, prime"),
        Steps((
            ("Wash off the release: warm soapy water, rinse, dry.",),
            ("Fill the numbered holes; several thin fills, each dry before the next.",),
            ("Sand wet, prime, look it over in raking light, touch up, prime again.",),
            *((("Saw the foot off along the edge of the base and dress it.",),)
              if plan.stand.foot_block is not None else ()),
        )),
        desk.caution("finishing"),
        Heading("Care of the mould"),
        Steps((
            ("Release agent before each pull, dry before filling. Demould as soon as it is safe.",),
            ("Let it cool to hand warmth between pulls. Never stretch it further than it needs.",),
            ("A nick at the end of a cut runs on: look at both ends after each pull. Retire the "
             "mould before the order, not during it.",),
            ("Keep it closed round a casting, flat, dark, off printed paper and away from other "
             "rubbers.",),
        )),
    ]  # fmt: skip
    return Page("After each pull", "6", tuple(blocks))


def _scrape(desk: Desk) -> tuple[Block, ...]:
    plan, system = desk.plan, desk.system
    cuts = parts.cuts(plan, system)
    if not cuts:
        return ()
    hours = plain(desk.known.value("finish.scrape_hours"))
    rows: list[tuple[Text, ...]] = []
    for c, line in zip(cuts, plan.cut.lines, strict=True):
        name: Text = (Bold(f"cut {c['number']}"), f", on the piece’s {c['piece_side']}")
        effort: Text = (c["length"], ", about ", c["cleanup"])
        for k, words in enumerate(scrape_words(line, plan.stand, system)):
            rows.append((name if k == 0 else (), (words,), effort if k == 0 else ()))
    clock: tuple[Inline, ...] = ("Demoulded at  ____ : ____      Scrape before  ____ : ____  (",
                                 Said(f"{hours} hours later", "default"), ")")  # fmt: skip
    return (
        Heading("Scrape the parting line while the resin is still soft"),
        Box((Line(clock, "body"),)),
        Table(
            (("seam",),
             ("the casting standing, looking straight at the seam; height above its base",),
             ("how much",)),
            tuple(rows),
            (0.28, 0.47, 0.25),
        ),
        small("Blade nearly upright, drawn along the line, then wet paper. After a day it is hard "
              "and tears out."),
    )  # fmt: skip


def _places(desk: Desk, air: dict[str, Any], title: str, none: str, how: str) -> tuple[Block, ...]:
    """Return what is left of the numbered places of a pour, with the piece drawn and numbered."""
    left = [r for r in air["rows"] if r["ball_tipped"]]
    gone = [r for r in air["rows"] if not r["ball_tipped"]]
    if not air["rows"]:
        return (Heading(title), Line((none,)))
    blocks: list[Block] = [Heading(title)]
    rows = tuple(
        (
            (Bold(str(r["number"])),),
            (r["place"],),
            (Said(r["ball_tipped"], "exact"),),
            *(((r["ball_level"] or "none",),) if air["changed"] else ()),
        )
        for r in left
    )
    if rows:
        head = ("no.", "where", "as a ball across",
                *((f"if it was not {how}",) if air["changed"] else ()))  # fmt: skip
        shares = (0.07, 0.51, 0.22, 0.2) if air["changed"] else (0.07, 0.63, 0.3)
        blocks.append(Table(tuple((h,) for h in head), rows, shares))
        kept = {r["number"] for r in left}
        shown = tuple(r for r in air["table"].rows if r.number in kept)
        blocks.append(Drawings(air_views(desk.outlines, shown, mouth_up=False, high_mm=54.0)))
    else:
        blocks.append(Line((none,)))
    if gone:
        numbers = " · ".join(str(r["number"]) for r in gone)
        blocks.append(small(f"Only if it was not {how}: {numbers} of the table."))
    return tuple(blocks)
