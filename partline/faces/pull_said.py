"""What was typed about a pull, as the pull that goes into the log."""

from __future__ import annotations

import datetime

from partline.errors import LogError
from partline.faces.air_rows import air_table
from partline.faces.log_places import places_mark
from partline.plan import Plan
from partline.workshop.log import Log, Pull
from partline.workshop.log_reading import parse_pull


def said_pull(
    plan: Plan | None,
    *,
    good: bool | None,
    mould: int,
    day: str = "",
    voids: str = "",
    length: str = "",
    pigment: str = "",
    note: str = "",
    system: str = "mm",
    today: datetime.date | None = None,
) -> Pull:
    """Return the pull that was typed, its fields read as those of a line of the log.

    Parameters
    ----------
    plan : Plan or None
        Whose numbered places the voids follow; without one their numbers cannot be checked.
    good : bool or None
        None where neither was said.
    mould : int
        From 1.
    day : str
        Like 2027-03-02; empty is today.
    voids : str
        Numbers, "other", or "none"; empty where nobody looked.
    length, pigment : str
        Measured on the casting, and in 100 g of resin; a bare number of a length is taken in
        `system`, of pigment as grams. Empty where not measured.
    system : {"mm", "inches", ""}
        How lengths are said here; "" where every figure needs its own unit.
    today : datetime.date, optional

    Raises
    ------
    LogError
        If something cannot be meant; the text says what. Nothing is written here.
    """
    if good is None:
        raise LogError("How did it come out? Say good or bad; nothing was written.")
    now = today or datetime.date.today()
    said = [day.strip() or now.isoformat(), f"mould {mould}", "good" if good else "bad"]
    asked = (
        ("voids", voids),
        ("length", _with_unit(length, {"mm": "mm", "inches": "in"}.get(system, ""))),
        ("pigment", _with_unit(pigment, "g" if system else "")),
    )
    said += [f"{word} {_one_field(text)}" for word, text in asked if text.strip()]
    mark = places_mark(plan) if plan is not None and voids.strip() else ""
    try:
        pull = parse_pull("; ".join([*said, f"note {' '.join(note.split())}"]), 0, mark)
    except ValueError as error:
        raise LogError(f"This pull cannot be written down: {error}. Nothing was written.") from None
    if pull.date > now:
        raise LogError(f"{pull.date} has not come yet; nothing was written.")
    if plan is not None:
        _numbered(plan, pull)
    return pull


def next_mould(log: Log | None) -> int:
    """Return the mould that was last pulled from; the first where none was."""
    return log.pulls[-1].mould if log is not None and log.pulls else 1


def _numbered(plan: Plan, pull: Pull) -> None:
    """Raise LogError where a void has a number that no place has."""
    last = len(air_table(plan.resin_pour).rows)
    wrong = [v for v in pull.voids or () if v > last]
    if wrong:
        have = f"the last one is {last}" if last else "no place has a number"
        raise LogError(
            f"There is no place {wrong[0]} in the resin: {have}. For a void in a place without "
            'a number write "other". Nothing was written.'
        )


def _with_unit(text: str, unit: str) -> str:
    """Return a figure with a unit where it was typed without one."""
    bare = text.strip()
    has_unit = any(c.isalpha() or c in "\"'″′" for c in bare)
    return f"{bare} {unit}".strip() if bare and not has_unit else bare


def _one_field(text: str) -> str:
    """Return a text as one field of a line: it may not begin another."""
    return " ".join(text.replace(";", " ").split())
