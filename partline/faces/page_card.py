"""The card that lives with the mould, and the page of the run."""

from __future__ import annotations

from partline.faces.cut_starts import start_deg
from partline.faces.figures import plain, weight
from partline.faces.page_pieces import Desk
from partline.faces.sheet_blocks import (
    Block,
    Bold,
    Box,
    Line,
    Own,
    Page,
    Table,
    Text,
)
from partline.faces.sheet_parts import three_depths
from partline.faces.words import bench_side, mix_words, way_to_tip, worth_tipping
from partline.job import MaterialPart
from partline.workshop.mix import Mix


def card_page(desk: Desk) -> Page:
    """Return the one card to cut out and keep with the mould."""
    blocks: list[Block] = [Box(_card(desk), "card")]
    return Page("Cut out: the card that lives with the mould", "7", tuple(blocks))


def _card(desk: Desk) -> tuple[Block, ...]:
    plan, job = desk.plan, desk.plan.job
    resolution = job.shop.scale_resolution_g
    cut = [
        f"{plain(start, 0)}° ({bench_side(start)}), never past "
        f"{three_depths(plan, line, desk.system)[2]}"
        for number, line in enumerate(plan.cut.lines, 1)
        for start in [start_deg(plan, number)]
    ]
    notch: Text = ("none: it is filled level",)
    if worth_tipping(plan.resin_pour):
        side, tilt = way_to_tip(plan.resin_pour)
        notch = (Bold(bench_side(side)), f" side, {plain(side, 0)}°: tip ",
                 Bold(f"{plain(tilt, 0)}°"))  # fmt: skip
    rows: list[tuple[Text, Text]] = [
        (("resin, one pull",), _weigh(plan.resin.mix, plan.resin.mix_g, job.resin, resolution)),
        (
            ("rubber, this mould",),
            _weigh(plan.rubber_mix, plan.container.mix_g, job.rubber, resolution),
        ),
        (("container",), (Own(plan.container.name),)),
        (("notch",), notch),
        (("cuts",), ("; ".join(cut) or "none",)),
        (("made on",), ("______________   mould no. ______ of ", str(plan.run.blocks))),
        (("rubber, batch",), ("______________   cut down to ______ and ______",)),
    ]
    life = job.run.life
    return (
        Line((Own(job.name, bold=True),), "act"),
        Table(((), ()), tuple(rows), (0.27, 0.73), "list"),
        Line(("Tick each pull. Retire it after ", Bold(str(life)), ":")),
        _ticks(life),
    )


def _weigh(mix: Mix | None, total_g: float, label: MaterialPart, resolution_g: float) -> Text:
    if mix is None:
        return ("mix ", Bold(weight(total_g)), ": __________ to ________, then __________ to "
                "________")  # fmt: skip
    stated = [(label.parts or {}).get(part) for part in mix.parts]
    ratio = " : ".join(plain(s, 2) for s in stated if s is not None)
    return (Bold(mix_words(mix, resolution_g)), f" (label: {ratio} by {label.by})" if ratio else "")


def _ticks(life: int) -> Table:
    """Return a box for each pull, ten a row, to tick."""
    shown = min(life, 60)
    rows = []
    for first in range(1, shown + 1, 10):
        row: list[Text] = [(str(n),) if n <= shown else () for n in range(first, first + 10)]
        rows.append(tuple(row))
    return Table((), tuple(rows), (0.1,) * 10, "blank")
