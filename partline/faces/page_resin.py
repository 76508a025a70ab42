"""The resin: weigh, tip and fill, the moves, top up, pressure; where air makes a hole."""

from __future__ import annotations

from typing import Any

from partline.faces import sheet_parts as parts
from partline.faces.air_drawings import air_views
from partline.faces.figures import bubble
from partline.faces.left_open import casting_open_g, grams_said, short_words
from partline.faces.move_stills import move_stills
from partline.faces.moves_drawing import moves_strip
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
from partline.faces.page_ready import ready_blocks
from partline.faces.ready_words import cut_air_words, kept_words, rise_words
from partline.faces.resin_moves import moves
from partline.faces.retold import retold
from partline.faces.sheet_blocks import (
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
from partline.faces.words import worth_tipping
from partline.plan import Plan, Pour


def resin_page(desk: Desk) -> Page:
    """Return the page of the resin pour."""
    plan, job = desk.plan, desk.plan.job
    weigh = parts.weighing(plan.resin.mix, plan.resin.mix_g, job.resin, job.shop.scale_resolution_g)
    air = parts.air(plan, plan.resin_pour, "resin", desk.system)
    limits = parts.casting_limits(plan)
    open_g = casting_open_g(plan)
    casting = grams_said(plan.resin.casting_g, open_g, parts.mass_tag(job.resin))
    batch: tuple[Inline, ...] = ()
    if limits["small_batch"] and plan.bench is None:
        batch = (" ", Bold("Under "), limits["small_batch"], Bold(" a batch cures badly and is "
                 "easily mis-weighed:"), " fill several moulds from one mix.")  # fmt: skip
    pot = ("pressure",) if limits["pot"] else ()
    blocks: list[Block] = [
        *(stop_blocks(plan.bench.cast.timing) if plan.bench is not None else ()),
        Heading("Before anything is mixed"),
        Steps(_ready(plan, air, limits)),
        *ready_blocks(desk),
        Together((
            Heading("Mix"),
            *weighing_blocks(weigh),
            Line((Own(job.resin.kind), ": one casting with its foot takes ", casting,
                  "; the rest stays in the cup.", *batch)),
            *(Line((Bold(w),)) for w in
              short_words("resin", plan.resin.casting_g + open_g, plan.resin.mix_g)),
            *_before(plan),
            desk.caution("resin_mix"),
        )),
        # With the mould in both hands nobody turns a page.
        Together((
            *tip_blocks(air, "Tip it while filling"),
            *(Drawings((row,))
              for row in moves_strip(moves(plan), move_stills(plan), desk.room[0])),
            Steps(_steps(plan, air, limits)),
            *_pressed(plan),
            desk.caution("resin_pour", *pot),
        )),
    ]  # fmt: skip
    found: list[Block] = [Heading("Where air stays in the resin: a hole in that casting"),
                          *air_blocks(air), *_left(plan)]  # fmt: skip
    if air["rows"]:
        views = air_views(desk.outlines, air["table"].rows, mouth_up=True)
        found += [Drawings(views), Picture("resin_air", "turned over, numbered as in the table",
                                           70.0)]  # fmt: skip
    return Page("Weigh and pour the resin", "5", (*blocks, Together(tuple(found))))


def _left(plan: Plan) -> tuple[Block, ...]:
    """Return what "tipped" and rocking mean for the figures of the table, small."""
    pour = plan.resin_pour
    if pour.rocking is not None:
        told = (*(pour.tipped.words if pour.tipped is not None else ()), *_start(pour),
                *pour.rocking.words, *kept_words(plan), *cut_air_words(plan))  # fmt: skip
        return tuple(small(retold(w, plan.stand)) for w in told)
    if not worth_tipping(pour) or not pour.level.pockets:
        return ()
    return (small(
        "“Tipped” is what stays in the tipped pose when it is full; standing it up, topping up "
        "and rocking free some of it and move some."
    ),)  # fmt: skip


def _start(pour: Pour) -> tuple[str, ...]:
    """Return why the moves start from another figure than the air of a level pour."""
    if pour.rocking is None or not pour.rocking.moves:
        return ()
    level, start = bubble(pour.level.volume_mm3), bubble(pour.rocking.before_mm3)
    if level == start:
        return ()
    filled = ("filled tipped, stood up and topped up it" if worth_tipping(pour)
              else "leaving out what is too fine to see it")  # fmt: skip
    return (f"Filled level it would hold {level} of air; {filled} holds {start}, and from there "
            "the moves go on.",)  # fmt: skip


def _pressed(plan: Plan) -> tuple[Block, ...]:
    """Return what pressure does to bubbles, after the step that says how much."""
    if plan.bench is None or plan.bench.cast.pressing.gauge_kpa is None:
        return ()
    return (small(" ".join(plan.bench.cast.pressing.words[1:])),)


def _before(plan: Plan) -> tuple[Block, ...]:
    """Return what to know before mixing: batch, time."""
    if plan.bench is None:
        return ()
    cast = plan.bench.cast
    rise = rise_words(plan.resin_pour.rise, "resin")
    return (
        *batch_blocks(cast.batch),
        *time_blocks(cast.timing, cast.pot_life),
        *((small(rise),) if rise else ()),
    )


def _ready(plan: Plan, air: dict[str, Any], limits: dict[str, Any]) -> tuple[Text, ...]:
    """Return what is done and laid out while no resin is mixed: afterwards there is no time."""
    talc = "Talc in the numbered places breaks the surface of the resin. " if air["rows"] else ""
    notch: tuple[Text, ...] = (
        (("Cut a notch in the rim of the mouth on the side that goes down (see the mouth "
          "disc).",),) if air["tip"] else ()
    )  # fmt: skip
    pot = " the pressure pot open," if limits["pot"] else ""
    close = ("Lay boards and bands beside it: the lips stay open until resin is brushed in."
             if plan.resin_pour.brush_in_time else
             "Close the lips, band the block between boards: snug, not tight.")  # fmt: skip
    return (
        (f"Release on the rubber, dry. {talc}{close}",),
        *_dusted(plan),
        *notch,
        *_stopped(plan),
        (f"Lay out the cap,{pot} a clock with seconds, and this page; go through the moves once "
         "with the empty block." if air["rocked"] else
         f"Lay out the cap,{pot} a clock with seconds, and this page.",),
    )  # fmt: skip


def _stopped(plan: Plan) -> tuple[Text, ...]:
    vents = plan.resin_pour.vents
    if vents is None or not vents.vents:
        return ()
    return ((f"See that {_names('V', len(vents.vents))} are clear, and stop each with a bit of "
             "clay.",),)  # fmt: skip


def _names(letter: str, last: int, first: int = 1) -> str:
    between = "and" if last == first + 1 else "to"
    return f"{letter}{last}" if last == first else f"{letter}{first} {between} {letter}{last}"


def _dusted(plan: Plan) -> tuple[Text, ...]:
    pour = plan.resin_pour
    if not pour.dusted:
        return ()
    ends = _names("B", len(pour.narrow_ends), pour.brush_in_time + 1)
    return ((f"Dust talc into {ends} with a dry soft brush: there is no time to brush resin into "
             f"{'it' if pour.dusted == 1 else 'them'}.",),)  # fmt: skip


def _brushed(plan: Plan) -> tuple[Text, ...]:
    many = plan.resin_pour.brush_in_time
    if many == 0:
        return ()
    return ((f"Hold the lips open and brush a film of resin into {_names('B', many)}. Close the "
             "lips, band the block between boards: snug, not tight.",),)  # fmt: skip


def _steps(plan: Plan, air: dict[str, Any], limits: dict[str, Any]) -> tuple[Text, ...]:
    """Return what is done with the mixed resin, in its order."""
    fill: tuple[Text, ...]
    if air["tip"]:
        fill = (
            ("Tip the block and fill in a thin stream down the side with the notch.",),
            ("Stand it up and ", Bold("top up"), "."),
        )
    else:
        fill = (("Fill in a thin stream down one side, and ", Bold("top up"), "."),)
    think = " Think of the numbered places." if air["rows"] else ""
    cap: Text = (f"Cap it, rock it gently, squeeze the lips, tap.{think}",)
    if air["rocked"]:
        cap = ("Cap it. Make the moves in their order, ", Bold("upright again after each"),
               "; squeeze the lips, tap. Top up.")  # fmt: skip
    pot = limits["pot"]
    press: Text = ("No pressure pot was stated: none is planned.",)
    if pot:
        press = ("Into the pressure pot within half the pot life, at most ", pot["use"],
                 ": your pot’s plate says ", pot["plate"], ", ", Bold("never above it"),
                 ". Only if this mould was itself cured under pressure, or holds no "
                 "bubbles.")  # fmt: skip
    vents = plan.resin_pour.vents
    opened: tuple[Text, ...] = ()
    if vents is not None and vents.vents:
        opened = (
            (
                Bold("Upright"),
                ": open the vents, top up until resin shows in each.",
            ),
        )
    return (*_brushed(plan), *fill, cap, *opened, press)
