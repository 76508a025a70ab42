"""The first page of the cutting card in words: measure first, then the table of depths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, zip_longest
from typing import Literal

from partline.card.cutting_card import BladeCut, CuttingCard, Mark
from partline.faces.figures import inches, length, plain
from partline.plan import Plan
from partline.workshop.materials import defaults

Row = tuple[str, str, str, str, str, str]


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
    for pair in (card.cuts[k : k + 2] for k in range(0, len(card.cuts), 2)):
        made += _tables(pair)
    made += [Paragraph("text", words) for cut in card.cuts for words in cut.words]
    cautions = defaults(plan.job.shop.defaults).cautions.get("cutting", ())
    made += [Paragraph("text", words) for words in cautions]
    return tuple(made)


def _tables(pair: Sequence[BladeCut]) -> list[Paragraph]:
    """Return the marks of one cut, or of two side by side."""
    heads = (
        [columns for cut in pair for columns in _row_of(cut.name)],
        [columns for _ in pair for columns in ("mark", "depth", "", "keys", "lean", "tip to")],
    )
    rows = zip_longest(*([_row(mark) for mark in cut.marks] for cut in pair), fillvalue=_row_of(""))
    return [
        *(Paragraph("row head", columns=tuple(head)) for head in heads),
        *(Paragraph("row", columns=tuple(chain(*row))) for row in rows),
    ]


def _row_of(words: str, second: str = "") -> Row:
    return (words, second, "", "", "", "")


def _row(mark: Mark) -> Row:
    if not mark.clear:
        return _row_of(str(mark.number), "no straight way: by feel")
    return (
        str(mark.number),
        f"{plain(mark.depth_mm, 0)} mm",
        inches(mark.depth_mm),
        f"{plain(mark.keys_mm, 0)} mm",
        f"{plain(mark.lean_deg, 0)}°" if mark.toward else "square",
        mark.toward,
    )
