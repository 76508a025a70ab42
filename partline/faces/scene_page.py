"""The scene to share: one HTML file with the piece, block, cut and air to turn with a finger."""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

import partline
from partline.faces import colours, sheet_parts
from partline.faces.air_rows import air_table
from partline.faces.figures import System, count, length
from partline.faces.page_sources import origin
from partline.faces.ready_words import brush_name, marks_lines, vent_name
from partline.faces.scene_mesh import Part, packed, parts
from partline.faces.sheet import ours
from partline.faces.sheet_blocks import sentence
from partline.faces.sheet_pages import Spelling
from partline.faces.words import american, first_lines, piece_side, short_verdict, tip_words
from partline.geometry.directions import Pour as PourName
from partline.plan import Plan, Pour
from partline.planfile import write_whole

NAME = "scene.html"
_MARK = '<meta name="generator" content="partline'

_WORDS = {
    "canvas": "The piece in three dimensions. Drag to turn it; arrow keys turn it too.",
    "hint": "Drag to turn, wheel to come nearer.",
    "no3d": "This browser cannot show three dimensions; the words beside still hold.",
    "pose": "Pose",
    "stands": "as it stands, for the rubber",
    "over": "turned over, for knife and resin",
    "show": "Show",
    "none": "No place holds a bubble that one would see.",
    "cut": "The cut",
}
_TOGGLES = (
    ("piece", "piece", True),
    ("detail", "detail: the darker, the finer", False),
    ("foot block", "foot block", True),
    ("block", "cup, or block of rubber", True),
    ("cut", "cut", True),
    ("air", "places that hold air", True),
    ("mouth", "mouth", True),
    ("front", "front mark", True),
)


def write_scene(
    plan: Plan, folder: str | Path, *, system: System = "mm", spelling: Spelling = "British"
) -> Path:
    """Write the scene of a plan as `scene.html` in a folder and return its path.

    Raises
    ------
    PlanFileError
        If a file of that name was not written by partline, or it cannot be written.
    """
    path = ours(Path(folder) / NAME, _MARK)
    return write_whole(path, scene_html(plan, system=system, spelling=spelling).encode("utf-8"))


def scene_html(plan: Plan, *, system: System = "mm", spelling: Spelling = "British") -> str:
    """Return the scene as the text of one HTML file that asks for nothing from outside.

    Its content policy forbids whatever is not in the file: the script and the style run because
    their hashes are named in it.
    """
    environment = Environment(
        loader=PackageLoader("partline.faces", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
    )
    us = spelling == "US"

    def said(words: Any) -> Any:
        if isinstance(words, str):
            return american(words) if us else words
        if isinstance(words, dict):
            return {k: said(v) for k, v in words.items()}
        return type(words)(said(w) for w in words) if isinstance(words, list | tuple) else words

    script, style = (_source(environment, name) for name in ("scene.js", "scene.css"))
    found = parts(plan)
    listed, box, numbers = packed(found)
    facts = {
        "parts": listed,
        "box": box,
        "fine": colours.DETAIL_END,
        "tags": said(_tags(plan, found)),
        "words": said({"no3d": _WORDS["no3d"]}),
    }
    return environment.get_template("scene.html").render(
        lang="en-US" if us else "en-GB",
        version=partline.__version__,
        job=plan.job.name,
        script=script,
        style=style,
        script_hash=_hash(script),
        style_hash=_hash(style),
        # Inside a script element nothing may look like its end.
        facts=json.dumps(facts, ensure_ascii=False).replace("<", "\\u003c"),
        numbers=numbers,
        origin=origin(plan),
        **said(_told(plan, system)),
    )


def _source(environment: Environment, name: str) -> str:
    assert environment.loader is not None
    text, _, _ = environment.loader.get_source(environment, name)
    return text


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def _told(plan: Plan, system: System) -> dict[str, Any]:
    """Return what the page says in words."""
    pours: tuple[tuple[PourName, str, Pour], ...] = (
        ("rubber", "Air in the rubber: a lump on every casting", plan.rubber_pour),
        ("resin", "Air in the resin: a hole in that casting", plan.resin_pour),
    )
    air = []
    for name, title, pour in pours:
        found = air_table(pour)
        rows = [
            {"number": r["number"], "place": r["place"], "size": f"a ball of {r['ball']}"}
            for r in sheet_parts.air_rows(plan, found, system)
            if r["ball_level"]
        ]
        more = f"And {count(found.more, 'smaller place')}." if found.more else ""
        marks = marks_lines(pour, plan.stand, system) if name == "resin" else ()
        more = " ".join(w for w in (more, *marks) if w)
        air.append((name, title, rows, more))
    cuts = [
        f"Cut {k}, on the piece’s {piece_side(line.azimuth_deg, 'resin')}: try at "
        f"{length(line.marks.try_here_mm, system)} below the mouth face, likely at "
        f"{length(line.marks.likely_mm, system)}, never past "
        f"{length(line.marks.never_past_mm, system)}."
        for k, line in enumerate(plan.cut.lines, 1)
    ]
    return {
        "words": _WORDS,
        "toggles": _TOGGLES,
        "lines": list(first_lines(plan, system)),
        "air": air,
        "tips": {"rubber": tip_words(plan.rubber_pour, "rubber"),
                 "resin": tip_words(plan.resin_pour, "resin")},
        "cuts": cuts or ["No cut."],
        "verdict": sentence(short_verdict(plan.cut)),
    }  # fmt: skip


def _tags(plan: Plan, found: tuple[Part, ...]) -> list[dict[str, Any]]:
    """Return the words that stand in the scene, as places in the pose of the rubber pour."""
    # The pea stands where the container's wall is, however the container is turned.
    peas = [p.vertices.mean(axis=0) for p in found if p.group == "front"]
    tags = [_tag("front", "front", "both", pea) for pea in peas[:1]]
    for k, line in enumerate(plan.cut.lines, 1):
        start = line.points[min(len(line.points) - 1, max(1, len(line.points) // 6))]
        tags.append(_tag(f"cut {k}", "cut", "both", start))
    for name, pour in (("rubber", plan.rubber_pour), ("resin", plan.resin_pour)):
        for row in air_table(pour).rows:
            if row.level_mm3 > 0:
                tags.append(_tag(str(row.number), "air", name, row.apex))
    vents = plan.resin_pour.vents
    for k, vent in enumerate(vents.vents if vents is not None else ()):
        tags.append(_tag(vent_name(k), "air", "resin", vent.exit))
    for k, end in enumerate(plan.resin_pour.narrow_ends):
        tags.append(_tag(brush_name(k), "air", "resin", end.tip))
    return tags


def _tag(word: str, group: str, pours: str, place: Any) -> dict[str, Any]:
    return {"word": word, "group": group, "pours": pours,
            "at": [round(float(v), 3) for v in place]}  # fmt: skip
