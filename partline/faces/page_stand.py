"""The pages before anything is poured: the scan and its size, fixing the piece down."""

from __future__ import annotations

from partline.faces import sheet_parts as parts
from partline.faces.discs import placing_disc
from partline.faces.figures import Said, System, Tag, bulk, length
from partline.faces.left_open import volume_said
from partline.faces.page_pieces import Desk, small
from partline.faces.paper import packed
from partline.faces.ready_words import vent_name
from partline.faces.retold import scan_retold
from partline.faces.sheet_blocks import (
    Big,
    Block,
    Bold,
    Inline,
    Line,
    Own,
    Page,
    Steps,
    Table,
    Text,
    TrueSize,
    joined,
)
from partline.faces.true_outlines import outline_blocks
from partline.faces.words import has_height, place_words
from partline.geometry.volume import volume
from partline.plan import Plan
from partline.scan.wording import percent


def stand_page(desk: Desk) -> Page:
    """Return the page on size, container, and fixing the piece to the container's floor."""
    plan = desk.plan
    box = parts.container(plan, desk.system)
    disc = packed([placing_disc(plan, desk.system)], *desk.room)
    others = joined(tuple((Own(name), f" ({grams} rubber)") for name, grams in box["others"]), ", ")
    blocks: list[Block] = [
        *_size(desk),
        Line(("Container: ", Own(box["name"], bold=True)), "act"),
        Table(
            (("inner floor",), ("inner rim",), ("inner height",), ("rubber beside it, least",)),
            (((box["floor"],), (box["rim"],), (box["height"],), (box["wall"],)),),
            (0.25, 0.25, 0.25, 0.25),
            "scale",
        ),
        small(
            f"Sizes inside, {box['source']}. ", Bold("Measure your own first."),
            *((" Would also do: ", *others, ".") if others else ()),
        ),
        *(Line(("Your ", Own(name), f" is too small: {why}")) for name, why in box["too_small"]),
        *(small(words) for words in box["words"]),
        Steps(_steps(desk)),
        desk.caution("master"),
        TrueSize("", "", disc),
        *outline_blocks(desk),
    ]  # fmt: skip
    return Page("Check the size, fix it down", "1", tuple(blocks))


def _size(desk: Desk) -> tuple[Block, ...]:
    """Return what a rule should read on the master, and what the scan is good for."""
    plan, system = desk.plan, desk.system
    wide, deep, _ = plan.master.surface.extents
    both: System = "both" if system == "mm" else system
    tall = Said(length(plan.master.height_mm, both), "yours" if has_height(plan) else "exact")
    blocks: list[Block] = [
        Table(
            (("tall, as it stands",), ("left to right",), ("front to back",), ("volume",)),
            (((tall,), (Said(length(float(wide), system), "exact"),),
              (Said(length(float(deep), system), "exact"),),
              (volume_said(plan.master, system),)),),
            (0.34, 0.22, 0.22, 0.22),
            "scale",
        ),
        Line((
            "Hold a rule to the master: if one of these is off by more than a few per cent, or "
            "left and right do not fit, stop: the scan is of another size or another piece.",
        )),
    ]  # fmt: skip
    blocks += _sunk(plan, system)
    told = [scan_retold(w, plan, system) for w in plan.master.warnings]
    # Their numbers are a direction in the file, no place on the piece.
    blocks += [Line((Bold(w),)) for w in (*told, *plan.stand.warnings)]
    mended = [scan_retold(r.words, plan, system) for r in plan.master.repairs]
    if mended:
        blocks.append(small("Mended in the scan: " + " ".join(mended)))
    return tuple(blocks)


def _sunk(plan: Plan, system: System) -> tuple[Block, ...]:
    """Return how tall a casting is where the master is sunk, small as the volume goes with it."""
    stand = plan.stand
    if not stand.sunk_mm:
        return ()
    trimmed = float(volume(stand.piece)) / plan.master.volume_mm3
    return (Line((
        "A casting is ", Said(length(stand.top_mm - stand.seat_mm, system), "exact"),
        " tall: the lowest ", Said(length(stand.sink_mm, system), sunk_tag(plan)),
        " of the master is trimmed off or sunk, and with it ",
        Said(percent(1 - trimmed), "exact"), " of its volume.",
    )),)  # fmt: skip


def _sinking(plan: Plan, system: System) -> tuple[Text, ...]:
    """Return how to sink the master, where more is trimmed off than makes it flat."""
    stand = plan.stand
    if not stand.sunk_mm:
        return ()
    return ((
        Bold("Trim "), Big(Said(length(stand.sink_mm, system), sunk_tag(plan))),
        Bold(" off the underside of the master, level"),
        ", or sink it so deep: ", Said(length(stand.top_mm - stand.seat_mm, system), "exact"),
        " of it must stand above the ", "floor." if stand.foot_block is None else "foot block.",
    ),)  # fmt: skip


def sunk_tag(plan: Plan) -> Tag:
    """Return whose figure the sink is; it is deepened by itself where a piece has no flat."""
    asked = plan.job.stand.sink_mm
    if asked is None:
        return "default"
    return "yours" if abs(asked - plan.stand.sink_mm) < 1e-9 else "exact"


def _steps(desk: Desk) -> tuple[Text, ...]:
    plan, system = desk.plan, desk.system
    block = plan.stand.foot_block
    steps: list[Text] = [
        (
            Bold("Hollow under the base: fill it with clay"),
            ", about ",
            Said(bulk(h.volume_mm3, system), "exact"),
            f" at {place_words(h.place_mm, plan.stand, system)}.",
        )
        for h in plan.stand.hollows
    ]
    steps += _sinking(plan, system)
    steps.append(("Seal a porous master.",))
    foot: tuple[Inline, ...] = ()
    if block is not None:
        kind = "its own outline, flaring" if block.kind == "flared" else "a wider slab"
        foot = ("Foot block ", Big(Said(length(block.height_mm, system), "exact")),
                f" high ({kind}) under the piece; it leaves the mouth. ")  # fmt: skip
    steps += [
        (*foot, Bold("Measure both bars beside the placing disc: 100 mm, or print again at 100 %."),
         " Cut out the placing disc, lay it on the floor of the container, trace the "
         "outline, ", Bold("take the paper out"), "."),
        _fixing(plan),
        *_rods(plan, system),
        ("A pea of clay on the wall at the arrow: its dimple marks the ", Bold("front"),
         " on the rubber. Without it no direction below means anything.",),
    ]  # fmt: skip
    return tuple(steps)


def _rods(plan: Plan, system: System) -> tuple[Text, ...]:
    """Return the rods that leave vents, where any are planned."""
    found = plan.resin_pour.vents
    if found is None or not found.vents:
        return ()
    wide = length(found.vents[0].diameter_mm, system)
    rods = "; ".join(
        f"{vent_name(k)} {length(v.length_mm, system)} long, to the piece "
        f"{place_words(v.place, plan.stand, system)}"
        for k, v in enumerate(found.vents)
    )
    return ((Bold("Rods for the vents"), f", {wide} thick, glued from the floor of the container "
             f"to the piece: {rods}. Where they stand on the floor, and how they lean, is with "
             "the resin pour. Or push the vents through the cured block later.",),)  # fmt: skip


def _fixing(plan: Plan) -> Text:
    """Return with what to fix the piece down, and how hard it floats."""
    on = "Fix it down on the outline: rubber must not run under. "
    if plan.bench is None:
        return (on, "Hot glue or sticky wax; a light master floats.")
    return (on, " ".join(plan.bench.fixing.words))
