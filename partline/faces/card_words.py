"""The first page of the cutting card in words: measure first, then the table of depths."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from partline.card.cutting_card import CuttingCard, Mark
from partline.faces.figures import inches, length, plain
from partline.plan import Plan
from partline.workshop.materials import defaults


@dataclass(frozen=True)
class Paragraph:
    """A line of the page: words, or columns of a table."""

    kind: Literal["head", "text", "row head", "row"]
    words: str = ""
    columns: tuple[str, ...] = ()


def first_page(plan: Plan, card: CuttingCard) -> tuple[Paragraph, ...]:
    """Return what is read before the wrap is cut out."""
    made = [Paragraph("head", f"1. Measure the container: {card.container}")]
    for words, value in card.measures:
        made.append(
            Paragraph("text", f"{words}: planned {length(value, 'both')}; yours  ______________")
        )
    made.append(
        Paragraph(
            "text",
            "If one differs by more than 1 mm, write yours into the job file and plan again: the "
            "wrap is drawn for these three.",
        )
    )
    made += [Paragraph("text", words) for words in card.words]
    if not card.cuts:
        return tuple(made)
    made.append(Paragraph("head", "2. Transfer"))
    made += [
        Paragraph("text", words)
        for words in (
            "Cut the wrap out and tape it round the block, printed side out: mouth edge at the "
            "mouth face, FRONT on the front mark. Check it against the footprint at the mouth "
            "with the mouth disc.",
            "Prick the middle line through every mark, take the wrap off, join the pricks with a "
            "pen. The zigzag is yours: swing from edge to edge of the band, as in the sample.",
        )
    ]
    made.append(Paragraph("head", "3. Cut, mouth first, a little at a time"))
    keys = card.cuts[0].keys
    if keys.smooth_mm > 0:
        made.append(
            Paragraph(
                "text",
                f'First the keys, to the depth under "keys"; then the last '
                f"{plain(keys.smooth_mm, 0)} mm smooth along the line with the point of a "
                "scalpel. Depths are along the blade; the tip ends below the open ring.",
            )
        )
    else:
        made.append(Paragraph("text", "Jagged all the way in. Depths are along the blade."))
    for cut in card.cuts:
        made.append(Paragraph("row head", cut.name))
        made.append(Paragraph("row head", columns=("mark", "depth", "", "keys", "lean", "tip to")))
        made += [_row(mark) for mark in cut.marks]
        made += [Paragraph("text", words) for words in cut.words]
    cautions = defaults(plan.job.shop.defaults).cautions.get("cutting", ())
    made += [Paragraph("text", words) for words in cautions]
    return tuple(made)


def _row(mark: Mark) -> Paragraph:
    if not mark.clear:
        return Paragraph("row", columns=(str(mark.number), "no straight way: by feel"))
    return Paragraph(
        "row",
        columns=(
            str(mark.number),
            f"{plain(mark.depth_mm, 0)} mm",
            inches(mark.depth_mm),
            f"{plain(mark.keys_mm, 0)} mm",
            f"{plain(mark.lean_deg, 0)}°" if mark.toward else "square",
            mark.toward,
        ),
    )
