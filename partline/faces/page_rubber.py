"""The rubber: weigh, degas, prop, pour; where air stays and leaves a lump."""

from __future__ import annotations

from typing import Any

from partline.faces import sheet_parts as parts
from partline.faces.air_drawings import air_views
from partline.faces.left_open import rubber_open_g, short_words
from partline.faces.page_pieces import (
    Desk,
    air_blocks,
    batch_blocks,
    small,
    stop_blocks,
    time_blocks,
    tip_blocks,
    weighing_blocks,
)
from partline.faces.ready_words import rise_words
from partline.faces.sheet_blocks import (
    Big,
    Block,
    Bold,
    Drawings,
    Heading,
    Inline,
    Line,
    Own,
    Page,
    Picture,
    Steps,
    Text,
    Together,
)
from partline.plan import Plan


def rubber_page(desk: Desk) -> Page:
    """Return the page of the rubber pour."""
    plan, job = desk.plan, desk.plan.job
    weigh = parts.weighing(
        plan.rubber_mix, plan.container.mix_g, job.rubber, job.shop.scale_resolution_g
    )
    box = parts.container(plan, desk.system)
    air = parts.air(plan, plan.rubber_pour, "rubber", desk.system)
    blocks: list[Block] = [
        *(stop_blocks(plan.bench.rubber_timing) if plan.bench is not None else ()),
        *weighing_blocks(weigh),
        *(Line((Bold(w),)) for w in
          short_words("rubber", plan.container.rubber_g + rubber_open_g(plan),
                      plan.container.mix_g)),
        Line((Own(job.rubber.kind), ": ", box["rubber"], " goes in (", box["rubber_bulk"],
              "), the rest stays in the mixing cup. Degassing cup of at least ",
              box["degassing"], ": it rises.")),
        *_before(plan),
        desk.caution("rubber_mix", *(("degassing",) if job.shop.vacuum_chamber else ())),
        *tip_blocks(air, "Prop it up"),
        Steps(_steps(box, air)),
        *(() if air["rows"] else air_blocks(air)),
        *_short(plan),
        desk.caution("rubber_pour", "rubber_cure"),
    ]  # fmt: skip
    if air["rows"]:
        views = air_views(desk.outlines, air["table"].rows, mouth_up=False)
        blocks.append(Together((
            Heading("Where air stays in the rubber: a lump on every casting"),
            *air_blocks(air),
            Drawings(views),
            Picture("rubber_air", "numbered as in the table", 70.0),
        )))  # fmt: skip
    return Page("Weigh and pour the rubber", "2", tuple(blocks))


def _before(plan: Plan) -> tuple[Block, ...]:
    """Return what to know before mixing: batch, time, the vacuum."""
    bench = plan.bench
    if bench is None:
        return ()
    return (
        *batch_blocks(bench.rubber_batch),
        *time_blocks(bench.rubber_timing, bench.rubber_pot_life),
        # Its first sentence is the cup's size, which stands above.
        *(small(" ".join(w)) for w in [bench.degassing.words[1:]] if w),
        *(small(w) for w in [rise_words(plan.rubber_pour.rise, "rubber")] if w),
    )


def _short(plan: Plan) -> tuple[Block, ...]:
    """Return what to do when the rubber does not reach the line, and where offcuts may go."""
    if plan.bench is None:
        return ()
    words = plan.bench.offcuts.words
    return (Heading("Short of rubber, or rubber to save?"), Line((" ".join(words),)))


def _steps(box: dict[str, Any], air: dict[str, Any]) -> tuple[Text, ...]:
    fill, line = box["fill"], box["fill_line"]
    level: tuple[Inline, ...] = (
        ("When the piece is covered, ", Bold("set it level"), ". ") if air["tip"] else ()
    )
    places = ", and into the numbered places" if air["rows"] else ""
    return (
        (f"Brush a thin coat of rubber onto the detail{places}.",),
        ("Pour one thin stream into the lowest corner, never onto the piece; slow down while it "
         "passes an overhang.",),
        (*level, "Fill to ", Big(fill), " above the inner floor, ", Big(line), " below the rim."),
        ("Let it cure by its data sheet, level.",),
    )  # fmt: skip
