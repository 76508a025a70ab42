"""The page of the run: pulls, moulds, days, material, cost, size, and what the log says."""

from __future__ import annotations

from partline.faces import log_words, run_words
from partline.faces.figures import Said, count
from partline.faces.log_places import places_hold, places_mark
from partline.faces.page_pieces import Desk, small
from partline.faces.sheet_blocks import (
    Big,
    Block,
    Bold,
    Heading,
    Inline,
    Line,
    Own,
    Page,
    Table,
    Text,
)
from partline.faces.words import shrinkage_tag
from partline.workshop.learning import predicted_and_seen
from partline.workshop.production import Production


def run_page(desk: Desk) -> Page:
    """Return the run, its calendar and sums, and a log to fill in."""
    run, production = desk.plan.run, desk.plan.production
    words: tuple[Inline, ...] = (
        f"{run.good} good: ",
        Big(Said(count(run.pulls, "pull"), "estimate")),
        ", ",
        Big(Said(count(run.blocks, "mould"), "estimate")),
        ", ",
        Said(count(run.days, "working day"), "estimate"),
        f", done on {run_words.date_words(run.finish)}" if run.finish is not None else "",
    )
    blocks: list[Block] = [Line(words, "act")]
    blocks += [Line((line,)) for line in run_words.limit_lines(run)]
    if production is not None:
        blocks += [Line((line,)) for line in log_words.yield_lines(production)]
        blocks += [*_calendar(production), *_order(production), *_work(production)]
        blocks += [*_cost(production), *_size(desk, production), *_log(desk, production)]
    if production is None or production.log is None:
        blocks += _blank()
    return Page("The run", "8", tuple(blocks))


def _rows(rows: tuple[tuple[str, ...], ...]) -> tuple[tuple[Text, ...], ...]:
    return tuple(
        tuple((Bold(cell),) if k == 0 else (cell,) for k, cell in enumerate(row)) for row in rows
    )


def _head(*words: str) -> tuple[Text, ...]:
    return tuple((word,) for word in words)


def _calendar(production: Production) -> tuple[Block, ...]:
    run = production.run
    if run.terms is None:
        return ()
    week = (
        "Every day is counted as a working day; put the first day into the job file for dates."
        if run.terms.start is None
        else f"Worked on: {', '.join(run.terms.working_days)}"
        + ("".join(f", not {d}" for d in run.terms.days_off))
        + ". Rubber cures and airs on other days too."
    )
    return (
        Heading("Calendar"),
        Table(_head("when", "what"), _rows(run_words.calendar_rows(run)), (0.35, 0.65)),
        small(
            week + f" One batch of resin fills {count(production.fills_per_mix, 'mould')} before "
            "it thickens."
        ),
    )


def _order(production: Production) -> tuple[Block, ...]:
    rows: list[tuple[Text, ...]] = []
    for item in production.order:
        lost = run_words.kilos(item.lost_g + item.spare_g)
        parts: list[Inline] = []
        for part, grams in item.parts:
            parts += ["; " if parts else "", Own(part), f" {run_words.kilos(grams)}"]
        rows.append(((Bold(item.name),), (run_words.kilos(item.used_g),), (lost,),
                     (Said(run_words.kilos(item.order_g), "estimate"),), tuple(parts)))  # fmt: skip
    return (
        Heading("Order for the whole run"),
        Table(
            _head("what", "ends in them", "lost and to spare", "order", "of that"),
            tuple(rows),
            (0.12, 0.15, 0.17, 0.2, 0.36),
        ),
    )


def _work(production: Production) -> tuple[Block, ...]:
    blocks: list[Block] = [
        Heading("Work on one piece"),
        *(Line((line,)) for line in run_words.minutes_lines(production)),
    ]
    if len(production.cuts) > 1:
        head = _head("cut", "does it come out", "parting line", "voids", "one good piece",
                     "the whole run")  # fmt: skip
        rows = _rows(run_words.choice_rows(production.cuts))
        blocks += [Table(head, rows, (0.2, 0.26, 0.14, 0.1, 0.14, 0.16))]
    return tuple(blocks)


def _cost(production: Production) -> tuple[Block, ...]:
    missing = run_words.missing_rates(production)
    rows = tuple(
        ((Bold(name),), (words,), (Own(amount),))
        for name, words, amount in run_words.cost_rows(production)
    )
    blocks: list[Block] = [Heading("Cost of one good piece, by your own rates")]
    if rows:
        blocks.append(Table(_head("what", "how it comes about", "money"), rows, (0.25, 0.5, 0.25)))
    if missing:
        blocks.append(small(missing) if rows else Line((missing,)))
    return tuple(blocks)


def _size(desk: Desk, production: Production) -> tuple[Block, ...]:
    tag = shrinkage_tag(desk.plan)
    job = desk.plan.job
    stated = [name for name, part in (("rubber", job.rubber), ("resin", job.resin))
              if part.linear_shrinkage_percent is not None]  # fmt: skip
    first, *rest = run_words.size_lines(production.size, desk.system)
    return (
        Heading("Size"),
        Line((Said(first, tag),)),
        *(small(f"The {name}’s figure is yours.") for name in stated if tag == "default"),
        *(Line((line,)) for line in rest),
    )


def _log(desk: Desk, production: Production) -> tuple[Block, ...]:
    log, taught = production.log, production.learned
    if log is None:
        return ()
    blocks: list[Block] = [Heading("What the log says")]
    if taught is not None:
        blocks += [Line((line,)) for line in log_words.mould_lines(taught)]
        records, earlier = predicted_and_seen(
            log, places_hold(desk.plan), places=places_mark(desk.plan)
        )
        if taught.looked:
            rows = _rows(log_words.place_rows(records))
            head = _head("place in the resin", "predicted", "void seen on")
            blocks.append(Table(head, rows, (0.3, 0.35, 0.35)))
        blocks += [Line((line,)) for line in log_words.prediction_lines(records, earlier)]
        blocks += [small(line) for line in log_words.odd_lines(log, taught)]
    blocks += [Line((Own(line),), "small") for line in log_words.fault_lines(log)]
    return tuple(blocks)


def _blank() -> tuple[Block, ...]:
    empty: tuple[tuple[Text, ...], ...] = (((), (), (), (), ()),) * 6
    head = _head("pull", "demoulded at", "scrape before", "holes, lumps, seam",
                 "mould: lips, ends of the cut")  # fmt: skip
    return (Heading("By hand"), Table(head, empty, (0.1, 0.18, 0.18, 0.27, 0.27), "blank"))
