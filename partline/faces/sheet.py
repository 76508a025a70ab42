"""The bench sheet: one self-contained HTML file that prints, in the order of the work."""

from __future__ import annotations

import base64
import re
from pathlib import Path
from typing import Any, Literal

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from partline.errors import PlanFileError
from partline.faces import sheet_parts as parts
from partline.faces import sheet_sources as sources
from partline.faces.air_drawings import air_views
from partline.faces.cut_drawings import cut_views
from partline.faces.discs import mouth_disc, placing_disc
from partline.faces.drawings import Ghosts, ghosts, standing_view
from partline.faces.figures import TAG_WORDS, Said, System, bulk, count, length, weight
from partline.faces.paper import MARGIN_MM, PAPERS, PaperName, bar, packed, room
from partline.faces.words import american, first_lines, place_words
from partline.plan import Plan
from partline.planfile import write_whole
from partline.workshop.materials import defaults

NAME = "sheet.html"
_MARK = '<meta name="generator" content="partline'
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?(?: (?:mm|g|in|oz|mL)\b)?|\d+°")
# Everything that is no text of ours: styles, marks, and what the user named.
_NOT_OURS = re.compile(
    r"<style\b.*?</style>|<(\w+)\b[^>]*\sdata-own[^>]*>.*?</\1>|<[^>]*>", re.DOTALL
)


def write_sheet(
    plan: Plan,
    folder: str | Path,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Literal["British", "US"] = "British",
) -> Path:
    """Write the bench sheet of a plan as `sheet.html` in a folder and return its path.

    Parameters
    ----------
    plan : Plan
    folder : str or Path
        Made if it is not there. A sheet of partline's in it is replaced, any other file is not.
    pictures : dict of str to bytes, optional
        PNG stills by name: "first", "cut", "rubber_air", "resin_air", "detail"; any may be
        missing.
    paper : {"A4", "Letter"}
    system : {"mm", "inches", "both"}
    spelling : {"British", "US"}

    Raises
    ------
    PlanFileError
        If a file of that name is not a sheet of partline's, or it cannot be written.
    """
    path = Path(folder) / NAME
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        old = path.read_text("utf-8", errors="replace")[:4000] if path.exists() else _MARK
    except OSError as error:
        raise PlanFileError(f"{path} cannot be written: {error.strerror}.") from error
    if _MARK not in old:
        raise PlanFileError(
            f"{path} is not a bench sheet of partline's: nothing was written. Name another folder."
        )
    text = sheet_html(plan, pictures=pictures, paper=paper, system=system, spelling=spelling)
    return write_whole(path, text.encode("utf-8"))


def sheet_html(
    plan: Plan,
    *,
    pictures: dict[str, bytes] | None = None,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Literal["British", "US"] = "British",
) -> str:
    """Return the bench sheet as the text of one HTML file; arguments as `write_sheet`."""
    environment = Environment(
        loader=PackageLoader("partline.faces", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["numbers"] = _numbers
    environment.filters["sentence"] = _sentence
    us = spelling == "US"
    # Pictures go in last: they are long, and no text.
    held = {f"still:{k}": v for k, v in (pictures or {}).items()}
    page = environment.get_template("sheet.html").render(
        lang="en-US" if us else "en-GB",
        paper=paper,
        system=system,
        width=PAPERS[paper][0] - 2 * MARGIN_MM,
        # A little less than the page, or rounding makes a second one.
        height=PAPERS[paper][1] - 2 * MARGIN_MM - 1.0,
        stills={name: f"still:{name}" if f"still:{name}" in held else "" for name in _STILLS},
        **_words(plan, system),
        **_drawn(plan, paper, system),
    )
    if us:
        page = _in_american(page)
    for key, data in held.items():
        image = f"data:image/png;base64,{base64.b64encode(data).decode('ascii')}"
        page = page.replace(f'src="{key}"', f'src="{image}"')
    return page


_STILLS = ("first", "cut", "rubber_air", "resin_air", "detail")


def _words(plan: Plan, system: System) -> dict[str, Any]:
    """Return everything the pages say."""
    job = plan.job
    resolution = job.shop.scale_resolution_g
    return {
        "job": job.name,
        "lines": list(zip(first_lines(plan, system), _line_tags(plan), strict=True)),
        "legend": TAG_WORDS,
        "box": parts.container(plan, system),
        **_piece(plan, system),
        "rubber": parts.weighing(plan.rubber_mix, plan.container.mix_g, job.rubber, resolution),
        "rubber_air": parts.air(plan, plan.rubber_pour, "rubber", system),
        "vacuum": job.shop.vacuum_chamber,
        "cuts": parts.cuts(plan, system),
        "web": Said(length(plan.cut.web_mm, system), "exact"),
        "least_web": Said(length(parts.least_web_mm(plan), system), "exact"),
        "cut_words": plan.cut.words,
        "release": parts.demould(plan),
        "resin": parts.weighing(plan.resin.mix, plan.resin.mix_g, job.resin, resolution),
        "resin_air": parts.air(plan, plan.resin_pour, "resin", system),
        "casting": Said(weight(plan.resin.casting_g), parts.mass_tag(job.resin)),
        **parts.casting_limits(plan),
        "run": _run(plan),
        "cautions": defaults(job.shop.defaults).cautions,
        "figures": sources.used_figures(plan, system),
        "methods": sources.methods(plan),
        "certificates": sources.certificates(plan),
        "detail_words": plan.detail.words,
        "from": sources.provenance(plan),
    }


def _line_tags(plan: Plan) -> tuple[str, ...]:
    """Return what kind of number each of the first page's lines holds."""
    stated = plan.job.scan.height_mm is not None
    cup = "yours" if plan.container.own else "default"
    rubber, resin = parts.mass_tag(plan.job.rubber), parts.mass_tag(plan.job.resin)
    return (f"height {'yours' if stated else 'exact'}, cup {cup}", rubber, resin, "exact", "exact")


def _piece(plan: Plan, system: System) -> dict[str, Any]:
    """Return the piece, how it stands, what was mended."""
    master, stand = plan.master, plan.stand
    wide, deep, _ = master.surface.extents
    block = stand.foot_block
    both: System = "both" if system == "mm" else system
    return {
        "size": {
            "height": Said(
                length(master.height_mm, both),
                "yours" if plan.job.scan.height_mm is not None else "exact",
            ),
            "across": f"{length(wide, system)} × {length(deep, system)}",
            "volume": Said(bulk(master.volume_mm3, system), "exact"),
            "words": master.size_words,
        },
        "stand_words": stand.words,
        "repairs": [r.words for r in master.repairs],
        "warnings": master.warnings,
        "hollows": [
            {
                "volume": Said(bulk(h.volume_mm3, system), "exact"),
                "place": place_words(h.place_mm, stand, system),
            }
            for h in stand.hollows
        ],
        "block": block
        and {
            "height": Said(length(block.height_mm, system), "exact"),
            "kind": "its own outline, flaring" if block.kind == "flared" else "a wider slab",
        },
    }


def _run(plan: Plan) -> dict[str, Any]:
    run = plan.run
    return {
        "good": run.good,
        "pulls": Said(count(run.pulls, "pull"), "estimate"),
        "blocks": Said(count(run.blocks, "mould"), "estimate"),
        "days": Said(count(run.days, "day"), "estimate"),
        "bottleneck": run.bottleneck,
    }


def _drawn(plan: Plan, paper: PaperName, system: System) -> dict[str, Any]:
    """Return every drawing, those of true size laid out for the paper."""
    outlines: Ghosts = ghosts(plan)
    wide, high = room(paper)
    rubber = parts.air_table(plan.rubber_pour).rows
    resin = parts.air_table(plan.resin_pour).rows
    return {
        "bars": {"flat": bar(upright=False), "upright": bar(upright=True)},
        "standing": standing_view(plan, outlines, high_mm=110.0, wide_mm=wide),
        "placing": packed([placing_disc(plan, system)], wide, high),
        "mouth": packed([mouth_disc(plan)], wide, high),
        "views": packed(cut_views(plan, outlines, system), wide, high),
        "rubber_views": air_views(outlines, rubber, mouth_up=False),
        "resin_views": air_views(outlines, resin, mouth_up=True),
    }


def _numbers(text: str) -> Markup:
    """Return a line with its numbers in bold, everything else escaped."""
    out, last = Markup(""), 0
    for found in _NUMBER.finditer(text):
        out += escape(text[last : found.start()]) + Markup("<b>{}</b>").format(found.group())
        last = found.end()
    return out + escape(text[last:])


def _sentence(text: str) -> str:
    """Return a text with a capital and a full stop."""
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?', '!')) else '.'}"


def _in_american(page: str) -> str:
    """Return the page in US spelling, what the user named left as it is."""
    out, last = [], 0
    for found in _NOT_OURS.finditer(page):
        out += [american(page[last : found.start()]), found.group()]
        last = found.end()
    return "".join([*out, american(page[last:])])
