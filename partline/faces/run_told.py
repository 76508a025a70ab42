"""The run and the log of a plan as short sections of sentences, for reading on a screen."""

from __future__ import annotations

from dataclasses import dataclass

from partline.faces import log_words, run_words
from partline.faces.figures import System
from partline.faces.log_places import places_hold, places_mark
from partline.plan import Plan
from partline.workshop.learning import predicted_and_seen
from partline.workshop.production import Production

_DAYS_SHOWN = 12


@dataclass(frozen=True)
class Section:
    """A heading and what stands below it, a sentence or a row a line."""

    heading: str
    lines: tuple[str, ...]


def run_head(plan: Plan) -> tuple[str, ...]:
    """Return the run in a few sentences: how much, what limits it, with which yield."""
    made = plan.production
    learned = () if made is None else log_words.yield_lines(made)
    return (f"{run_words.run_line(plan.run)}.", *run_words.limit_lines(plan.run), *learned)


def run_sections(plan: Plan, system: System = "mm") -> tuple[Section, ...]:
    """Return the log, calendar, work, size and cost of a plan; what there is not is left out."""
    made = plan.production
    if made is None:
        return ()
    found = (
        Section("What the log says", _log_told(plan, made)),
        Section("Calendar", _calendar(made)),
        Section("Work on one piece", run_words.minutes_lines(made)),
        Section("Size", run_words.size_lines(made.size, system)),
        Section("Cost of one good piece, by your own rates", _cost(made)),
    )
    return tuple(section for section in found if section.lines)


def _log_told(plan: Plan, made: Production) -> tuple[str, ...]:
    log, taught = made.log, made.learned
    if log is None:
        return ("No pull is written down yet.",)
    said: list[str] = []
    if taught is None:
        said.append("No pull is written down yet.")
    else:
        said += log_words.mould_lines(taught)
        records, earlier = predicted_and_seen(log, places_hold(plan), places=places_mark(plan))
        if taught.looked:
            said += [f"Place {number}: predicted: {predicted}; void seen on {seen}."
                     for number, predicted, seen in log_words.place_rows(records)]  # fmt: skip
        said += log_words.prediction_lines(records, earlier)
        said += log_words.odd_lines(log, taught)
    return (*said, *log_words.fault_lines(log))


def _calendar(made: Production) -> tuple[str, ...]:
    if made.run.terms is None:
        return ()
    rows = run_words.calendar_rows(made.run, shown=_DAYS_SHOWN)
    return tuple(f"{when}: {what}." for when, what in rows)


def _cost(made: Production) -> tuple[str, ...]:
    rows = (": ".join(cell for cell in row if cell) for row in run_words.cost_rows(made))
    missing = run_words.missing_rates(made)
    return (*(f"{row}." for row in rows), *((missing,) if missing else ()))
