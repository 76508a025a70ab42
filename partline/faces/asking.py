"""What is asked of the bench before it is worked out: the labels, the ratings, how many."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError

from partline.errors import JobError
from partline.job import Job, MaterialPart
from partline.job_checks import crossed
from partline.job_reading import fault_of
from partline.units import factor
from partline.workshop.materials import defaults
from partline.workshop.pressure import local_kpa

FORMS = ("cups", "rubber", "resin", "ratings", "number")
"""The questions about the bench, in their order; the shelf of cups is a list, no form."""

_TABLES = {"rubber": "rubber", "resin": "resin", "ratings": "shop", "number": "run"}
_PARTS = {"rubber": ("hardener", "rubber"), "resin": ("isocyanate part", "polyol part")}


@dataclass(frozen=True)
class Entry:
    """One line of a form.

    Attributes
    ----------
    key : str
        Key in its table of the job file; "parts.hardener" for one within a table.
    label, tip, hint : str
        What stands before it, its tooltip, and an example shown while it is empty.
    units : tuple of str
        Units it may have, the first one taken for a bare number; none for a plain number.
    choices : tuple of (str, str)
        Value and words, where it is one of a few.
    whole, text : bool
        It is a whole number; it is no number at all.
    """

    key: str
    label: str
    tip: str
    hint: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[tuple[str, str], ...] = ()
    whole: bool = False
    text: bool = False


def entries(job: Job, question: str) -> tuple[Entry, ...]:
    """Return the lines of a form, for a job as it is said so far."""
    if question in _PARTS:
        return _label(getattr(job, question), question)
    return _RATINGS if question == "ratings" else _NUMBER


def _label(material: MaterialPart, table: str) -> tuple[Entry, ...]:
    names = tuple(material.parts or _PARTS[table])
    # What it is the label of is said above the form.
    kinds = tuple((kind, kind.removesuffix(f" {table}")) for kind in defaults().kinds(table))
    if material.kind not in dict(kinds):
        kinds = (*kinds, (material.kind, material.kind))
    lines = [Entry("kind", "Sort", f"What sort of {table} the label says it is.",
                   choices=kinds)]  # fmt: skip
    lines += [
        Entry(f"parts.{name}", f"Parts, {name}",
              f"How many parts of {name} the label's mixing ratio says.",
              hint="as on the label")
        for name in names
    ]  # fmt: skip
    lines.append(Entry(
        "by", "The ratio counts", "Whether the label means its ratio by weight or by volume.",
        choices=(("", "not read yet"), ("weight", "by weight"), ("volume", "by volume")),
    ))  # fmt: skip
    lines += [
        Entry(f"part_densities.{name}", f"Density, {name}",
              "Only for a ratio by volume: the technical sheet says it, also as specific gravity.",
              hint="sheet", units=("g/cm3",))
        for name in names
    ]  # fmt: skip
    lines.append(Entry("pot_life", "Pot life", "How long it can be worked, as the label says.",
                       hint="label", units=("min", "h")))  # fmt: skip
    if table == "rubber":
        lines.append(Entry("shore_a", "Hardness, Shore A", "The Shore A hardness on the label.",
                           hint="as on the label"))  # fmt: skip
    lines.append(Entry("density", "Density", "When cured, from the technical sheet; left "
                       "empty, a usual figure is taken and marked as one.",
                       hint="a usual one", units=("g/cm3",)))  # fmt: skip
    return tuple(lines)


_RATINGS = (
    Entry("scale_resolution", "Scale shows steps of",
          "The smallest step your scale shows.", units=("g", "oz")),
    Entry("room", "Room", "How warm the room is: warm rubber and resin set sooner.",
          hint="left out", units=("C", "F")),
    Entry("vacuum_chamber", "Vacuum chamber", "Whether you have one to degas rubber in.",
          choices=(("no", "none"), ("yes", "there is one"))),
    Entry("vacuum_chamber_rating", "Chamber rated for",
          "The lowest pressure that chamber and lid are made for, as on their plate. Without it "
          "no reading of the gauge is planned.",
          hint="plate", units=("inHg vacuum", "kPa absolute", "mbar absolute")),
    Entry("pressure_pot_rating", "Pressure pot rated for",
          "What stands on the pot's own plate. Nothing is planned above it; left empty, no "
          "pressure is planned.",
          hint="plate", units=("psi gauge", "bar gauge", "kPa gauge")),
)  # fmt: skip

_NUMBER = (
    Entry("good", "Good castings", "How many good castings you want.",
          whole=True),
    Entry("life", "A mould lasts",
          "Castings one mould lasts before the rubber tires; 20 is common practice.",
          whole=True),
    Entry("yield_share", "Come out good",
          "The share of castings that come out good; your own log is better than any guess.",
          units=("%",)),
    Entry("start", "First day of work",
          "The day you begin, written as year-month-day; left empty, days are only counted.",
          hint="like 2027-03-01", text=True),
)  # fmt: skip


def said(job: Job, question: str) -> dict[str, str]:
    """Return what a form shows for a job, by key; "" where nothing was said."""
    part = getattr(job, _TABLES[question])
    return {e.key: _shown(_value(part, e.key), e, job) for e in entries(job, question)}


def _field(part: BaseModel, key: str) -> str:
    head = key.partition(".")[0]
    fields = type(part).model_fields
    return next(n for n, f in fields.items() if str(f.validation_alias or n) == head)


def _value(part: BaseModel, key: str) -> Any:
    value = getattr(part, _field(part, key))
    inner = key.partition(".")[2]
    return (value or {}).get(inner) if inner else value


def _shown(value: Any, entry: Entry, job: Job) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    unit = entry.units[0] if entry.units else ""
    name, _, side = unit.partition(" ")
    if side:
        here = local_kpa(job.shop.altitude_m)
        above = value - here if side == "gauge" else here - value
        return f"{above / float(factor('pressure', name)):.6g}"
    if entry.key == "yield_share":
        value = 100.0 * value
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def answered(job: Job, question: str, typed: Mapping[str, str]) -> Job:
    """Return the job with a form filled in; a line left empty is asked for on the sheet.

    Parameters
    ----------
    typed : mapping of str to str
        By key, as in the form.

    Raises
    ------
    JobError
        If a line cannot be read, or contradicts another; the text names the line.
    """
    table = _TABLES[question]
    part, lines, before = getattr(job, table), entries(job, question), said(job, question)
    data: dict[str, Any] = {}
    for entry in lines:
        head, _, inner = entry.key.partition(".")
        value = _read(typed.get(entry.key, "").strip(), entry)
        if inner:
            data.setdefault(head, {})
            if value is not None:
                data[head][inner] = value
        elif value is not None:
            data[head] = value
    data = {key: value for key, value in data.items() if value != {}}
    _check_ratio({key: value.strip() for key, value in typed.items()}, lines)
    new = _checked(part, data, table, lines)
    update = {}
    for head in dict.fromkeys(e.key.partition(".")[0] for e in lines):
        keys = [e.key for e in lines if e.key.partition(".")[0] == head]
        field = _field(part, head)
        # What was not touched stays to the last digit, however it is shown.
        if any(typed.get(key, "").strip() != before[key] for key in keys):
            update[field] = getattr(new, field)
    changed: Job = job.model_copy(update={table: part.model_copy(update=update)})
    for place, words in crossed(changed, {table: {}}, check_files=False):
        if place[0] == table:
            raise JobError(f"{_named(str(place[-1]), lines)}: {words}")
    return changed


def _check_ratio(typed: Mapping[str, str], lines: tuple[Entry, ...]) -> None:
    """Raise JobError for half a ratio, in the words of the form."""
    parts = [e for e in lines if e.key.startswith("parts.")]
    if not parts:
        return
    empty, by = [e for e in parts if not typed.get(e.key)], typed.get("by")
    if empty and (by or len(empty) < len(parts)):
        raise JobError(f"{empty[0].label}: a ratio needs a figure for every part. Leave them all "
                       "empty and “not read yet” if you have not the label at hand.")  # fmt: skip
    if not empty and not by:
        raise JobError("The ratio counts: choose by weight or by volume, as the label says.")
    if by == "volume":
        for entry in lines:
            if entry.key.startswith("part_densities.") and not typed.get(entry.key):
                raise JobError(
                    f"{entry.label}: a ratio by volume is weighed by the density of each part; "
                    "the technical sheet says it, also as specific gravity."
                )


def _checked(
    part: BaseModel, data: dict[str, Any], table: str, lines: tuple[Entry, ...]
) -> BaseModel:
    try:
        return type(part).model_validate(data, context={"from_file": True})
    except ValidationError as error:
        first = dict(error.errors(include_url=False)[0])
        loc = tuple(place for place in error.errors()[0]["loc"] if place != "[key]")
        _, words = fault_of((table, *loc), first)
        raise JobError(f"{_named('.'.join(map(str, loc)), lines)}: {words}") from None


def _named(key: str, lines: tuple[Entry, ...]) -> str:
    """Return the label of the line a key belongs to."""
    heads = [e.label for e in lines if e.key == key or e.key.partition(".")[0] == key]
    return heads[0] if heads else key


def _read(text: str, entry: Entry) -> Any:
    if not text:
        return None
    if entry.choices:
        return {"yes": True, "no": False}.get(text, text)
    if entry.units:
        bare = not any(c.isalpha() or c == "%" for c in text)
        return f"{text} {entry.units[0]}" if bare else text
    if entry.text:
        return text
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise JobError(f'{entry.label}: "{text}" is not a number.') from None
    if entry.whole and not number.is_integer():
        raise JobError(f"{entry.label}: {text} is not a whole number.")
    return int(number) if number.is_integer() else number


def wanted(lines: tuple[Entry, ...], typed: Mapping[str, str]) -> tuple[Entry, ...]:
    """Return the lines that matter for what is chosen so far: densities, a chamber's rating."""
    hidden = []
    if typed.get("by") != "volume":
        hidden += [e for e in lines if e.key.startswith("part_densities.")]
    if typed.get("vacuum_chamber") == "no":
        hidden += [e for e in lines if e.key == "vacuum_chamber_rating"]
    return tuple(e for e in lines if e not in hidden)
