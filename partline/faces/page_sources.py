"""The first page, and the last: all that is only there to be looked up."""

from __future__ import annotations

from partline.faces import sheet_parts as parts
from partline.faces import sheet_sources as sources
from partline.faces.detail_zones import zone_blocks
from partline.faces.drawings import standing_view
from partline.faces.figures import TAG_WORDS
from partline.faces.page_pieces import Desk, small
from partline.faces.retold import cut_notes, retold
from partline.faces.sheet_blocks import (
    Block,
    Bold,
    Front,
    Heading,
    Inline,
    Page,
    Picture,
    Table,
    numbered,
)
from partline.faces.words import first_lines, has_height
from partline.plan import Plan


def front_page(desk: Desk) -> Page:
    """Return the first page: the piece standing in its cup, five lines."""
    plan = desk.plan
    lines = tuple(
        (numbered(line), tag)
        for line, tag in zip(first_lines(plan, desk.system), _line_tags(plan), strict=True)
    )
    legend: list[Inline] = []
    for tag, words in TAG_WORDS.items():
        legend += [Bold(tag), f": {_for_what(plan, words)}. "]
    legend.append("Left and right are yours, the piece standing with its front toward you.")
    standing = standing_view(plan, desk.outlines, high_mm=110.0, wide_mm=desk.room[0])
    return Page("", "", (Front(lines, tuple(legend), standing),))


def _for_what(plan: Plan, words: str) -> str:
    """Return the words of a tag; what is exact is so for the mesh that was planned with."""
    if not plan.master.repairs:
        return words
    made_up = ", not for what was filled in" if plan.master.volume_doubt_mm3 else ""
    return words.replace("this mesh", f"this mesh as mended{made_up}")


def _line_tags(plan: Plan) -> tuple[str, ...]:
    """Return what kind of number each of the first page's lines holds."""
    cup = "yours" if plan.container.own else "default"
    rubber, resin = parts.mass_tag(plan.job.rubber), parts.mass_tag(plan.job.resin)
    height = "yours" if has_height(plan) else "exact"
    # Where much of the skin is made up, so is the air under it.
    air = "estimate" if plan.master.is_wide_open else "exact"
    return (f"height {height}, cup {cup}", rubber, resin, air, "exact")


def sources_page(desk: Desk) -> Page:
    """Return the last page: usual figures used, methods, what is proved."""
    plan, system = desk.plan, desk.system
    rows = tuple(
        ((what,), (said,), (said.source,)) for what, said in sources.used_figures(plan, system)
    )
    blocks: list[Block] = [
        Heading("Usual figures used"),
        Table((("what",), ("value",), ("whose",)), rows, (0.42, 0.18, 0.4), "figures"),
        small("None of these is a standard. Your material’s own data sheet wins; put your own "
              "figures in the job file."),
        *_asked(desk),
        Heading("How they were found"),
        *(small(m) for m in sources.methods(plan)),
        Heading("What is proved"),
        *(small(retold(c, plan.stand, system)) for c in sources.certificates(plan)),
        Heading("What the scan shows"),
        *(small(w) for w in (*plan.stand.words, *plan.detail.words)),
        small(f"Size: {plan.master.size_words}"),
        *zone_blocks(plan, system),
        Picture("detail", "detail: the darker, the finer; numbered as above", 58.0),
    ]  # fmt: skip
    return Page("Where the numbers come from", "", tuple(blocks))


def _asked(desk: Desk) -> tuple[Block, ...]:
    """Return what the cut says of the rubber that is not for the knife."""
    _, later = cut_notes(desk.plan, desk.system)
    return (Heading("What the cut asks of the rubber"), *(small(w) for w in later)) if later else ()


def origin(plan: Plan) -> str:
    """Return the one line of provenance: version, hash, file."""
    found = sources.provenance(plan)
    return f"partline {found['version']} · SHA-256 {found['sha256']} · {found['file']}"
