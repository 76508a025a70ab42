"""The text of a job file: a whole job written out, or a new one with its questions open."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from partline.errors import JobError, UnitError
from partline.job import Job
from partline.job_fields import Quantity, axis, mesh_unit, side
from partline.units import length_mm
from partline.workshop.materials import defaults

_HEADS = {
    "scan": "The scan and how big the finished piece is: exactly one of height, measured, units.",
    "stand": "How it stands in the cup, and where the resin goes in.",
    "zones": "Places the cut must stay off, should go to, must pass through, start or end at.",
    "cut": "The cut.",
    "rubber": "What the rubber's label says.",
    "resin": "What the resin's label says.",
    "vents": "Vents, for the air that tipping and rocking leave in the resin.",
    "shelf": "A container you have, measured inside.",
    "shop": "Your scale, your room, and what your equipment is rated for.",
    "run": "How many, by when, and what limits a day.",
    "rates": "What things cost in your shop; what is left out is left out of the sum.",
    "look": "What the window shows; it changes no figure.",
}


def written(job: Job, folder: Path | None) -> str:
    """Return the text of a whole job; see `partline.job.write_job`."""
    lines = [f"name = {_text(job.name)}"]
    for table in Job.model_fields:
        value = getattr(job, table)
        if table == "name":
            continue
        several = isinstance(value, tuple)
        for part in value if several else (value,):
            head = f"[[{table}]]" if several else f"[{table}]"
            lines += ["", f"# {_HEADS[table]}", head, *_keys_of(part, folder)]
    return "\n".join(lines) + "\n"


def keys_of(part: BaseModel) -> list[str]:
    """Return the lines of one table of a job file, without its head."""
    return _keys_of(part, None)


def _keys_of(part: BaseModel, folder: Path | None, *, comments: bool = True) -> list[str]:
    lines = []
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        key = str(field.validation_alias or name)
        if value is None or value == ():
            continue
        about = f"  # {field.description}" if field.description and comments else ""
        lines.append(f"{key} = {_value(value, field, folder)}{about}")
    return lines


def _quantity(annotation: Any, metadata: Any = ()) -> Quantity | None:
    found = next((m for m in metadata if isinstance(m, Quantity)), None)
    for inner in get_args(annotation):
        if found is None:
            found = inner if isinstance(inner, Quantity) else _quantity(inner)
    return found


def _value(value: Any, field: FieldInfo, folder: Path | None) -> str:
    quantity = _quantity(field.annotation, field.metadata)
    if isinstance(value, BaseModel):
        return "{ " + ", ".join(_keys_of(value, folder, comments=False)) + " }"
    if isinstance(value, dict):
        pairs = [
            f"{_text(k)} = {quantity.written(v) if quantity else _plain(v)}"
            for k, v in value.items()
        ]
        return "{ " + ", ".join(pairs) + " }"
    if isinstance(value, Path):
        return _text(_named_from(value, folder))
    if quantity is not None:
        return quantity.written(value)
    return _plain(value)


def _named_from(path: Path, folder: Path | None) -> str:
    if folder is not None:
        try:
            return path.resolve().relative_to(folder.resolve()).as_posix()
        except ValueError:
            return path.resolve().as_posix()
    return path.as_posix()


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(int(value)) if isinstance(value, float) and value.is_integer() else repr(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(_plain(v) for v in value) + "]"
    return _text(str(value))


def _text(words: str) -> str:
    """Return a TOML basic string."""
    short = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}
    body = "".join(
        short.get(c) or (f"\\u{ord(c):04x}" if ord(c) < 32 or ord(c) == 127 else c) for c in words
    )
    return f'"{body}"'


_STARTER = """\
# A job for partline. Lines that begin with # are asked for but not yet answered: take the #
# away and put your own figure in. A length, weight or time always has its unit.

name = {name}  # printed on the sheet

# 1. The scan, and how tall the finished piece is as it stands. One of the three, no guess.
[scan]
file = {file}
{height}
# measured = {{ start = [0, 0, 0], stop = [0, 0, 1], length = "20 mm" }}  # or between two points
{units}
{stands}up = {up}  # which way is up in the file
front = {front}  # which way its face looks in the file
{rebuild}

# 2. How it stands, and where the resin goes in: the base, or another place.
[stand]
mouth = {{ at = "base" }}  # or {{ at = "point", point = [0, 0, 0] }} in the file's coordinates
foot_block = true  # a stub under the piece that leaves the mouth
show = "front"  # what is on show: front, front and sides, all round
# wall = "13 mm"  # least rubber beside the piece; left out: by its size
# headroom = "13 mm"  # least rubber over its highest point
# master_density = "1.1 g/cm3"  # of the master, weight by volume; says how hard it floats

# Places the cut must stay off, should go to, or must pass through; as many as you like.
# [[zones]]
# kind = "stay off"  # or "go here", "pass through", "start here", "end here"
# point = [0, 0, 0]  # in the file's own coordinates
# radius = "8 mm"  # at finished size

[cut]
cuts = "auto"  # or 0, 1, 2, or "over the floor": one cut up a side and over the top
# sides = ["back"]  # or ["left"], ["right"], ["left", "right"]; left out: where it is best
next_to_piece = "smooth"  # or "jagged": the zigzag all the way in to the piece

# 3. The cups, pipes and boxes you have, measured inside; as many as you like.
# [[shelf]]
# name = "my cup"
# kind = "cup"  # cup, pipe or box
# rim =  # inner width at the rim, with its unit
# floor =  # inner width at the floor
# height =  # from the inner floor to the rim

# 4. What the labels say. Without the ratio the sheet gives only the whole weight.
[rubber]
kind = "condensation silicone"  # {rubbers}
# parts = {{ hardener = , rubber =  }}  # the ratio on the label
# by = "weight"  # or "volume"
# pot_life =  # with its unit
# shore_a =  # hardness
# density =  # like "1.18 g/cm3"

[resin]
kind = "opaque polyurethane resin"  # {resins}
# parts = {{ "isocyanate part" = , "polyol part" =  }}  # the ratio on the label
# by = "weight"  # or "volume"; then also part_densities
# pot_life =  # with its unit
# density =  # when cured

# Holes through the rubber that let out the air which tipping and rocking leave.
[vents]
wanted = true
# largest_air = "5 mm3"  # how much may stay in a casting in all
# diameter = "2 mm"  # of a vent

# 5. Scale, room, vacuum and pressure pot. Nothing is planned above a rating.
[shop]
scale_resolution = "0.1 g"  # smallest step of your scale
# blade =  # how far your knife's blade reaches out of its holder, with its unit
# room =  # temperature, like "21 C"
# altitude =  # of the shop above the sea, with its unit
# pressure_pot_rating =  # on the pot's plate, with its unit and gauge
vacuum_chamber = false

# 6. How many.
[run]
good = 1  # good castings wanted
# start =  # first day of work, like 2027-03-01
# working_days = ["mon", "tue", "wed", "thu", "fri"]
# hands = 1  # people who cast and clean up
# pot_holds =  # blocks the pressure pot holds at once

# 7. What things cost, if you want the cost of a piece. What is left out is left out of the sum.
# [rates]
# currency =  # how money is written, in quotes
# rubber =  # like "38 per kg"
# resin =
# labour =  # like "25 per h"
"""


def starter(
    mesh: Path,
    *,
    name: str | None,
    height: str | None,
    units: str | None,
    up: str | tuple[float, float, float],
    front: str,
    stands: str,
    file_unit: str,
    rebuild: bool,
    cell: str | None,
    folder: Path | None,
) -> str:
    """Return the text of a new job file; see `partline.job.starter_job`."""
    if height is not None and units is not None:
        raise JobError("Give either the finished height or the unit of the file, not both.")
    try:
        if height is not None and not 0.5 <= length_mm(height) <= 5000:
            raise JobError(f'A height of "{height}" cannot be meant; say 0.5 mm to 5 m.')
        unit = mesh_unit(units)
        axes = [side(up), axis(front)]
    except (UnitError, ValueError) as error:
        raise JobError(f"The job cannot be begun: {error}") from None
    if isinstance(axes[0], str) and axes[0][1] == str(axes[1])[1]:
        raise JobError(f'The front ("{front}") lies along up ("{up}"); it must look sideways.')
    known = defaults()
    return _STARTER.format(
        name=_text(name or _name_from(mesh)),
        file=_text(_named_from(mesh, folder)),
        height=f"height = {_text(height)}" if height else
        "# height =  # with its unit, like \"62 mm\" or \"2 7/16 in\"",
        units=f"units = {_text(str(unit))}" if unit else _unit_asked(file_unit),
        rebuild=_rebuild_asked(rebuild, cell),
        stands=f"# {stands}\n" if stands else "",
        up=_plain(axes[0]), front=_plain(axes[1]),
        rubbers=", ".join(known.kinds("rubber")), resins=", ".join(known.kinds("resin")),
    )  # fmt: skip


def _unit_asked(file_unit: str) -> str:
    if file_unit:
        return f'# units = "{file_unit}"  # what the file itself says; it holds if none is stated'
    return '# units = "mm"  # or the unit the file is drawn in: mm, cm, m, in, ft'


def _rebuild_asked(rebuild: bool, cell: str | None) -> str:
    """A new surface is never made unasked: the line stands commented out otherwise."""
    if not rebuild:
        return "# rebuild = true  # last resort: draw a new surface round a scan beyond mending"
    size = _text(cell) if cell else '"0.4 mm"'
    return (
        "rebuild = true  # a new closed surface is drawn round the scan, the difference measured\n"
        f"{'' if cell else '# '}cell = {size}  # size of its cells; nothing finer is kept"
    )


def _name_from(mesh: Path) -> str:
    return re.sub(r"[_\s]+", " ", mesh.stem).strip() or "piece"
