"""The run in plain sentences and rows, for the sheet, the window and the command line."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from partline.faces.figures import MM_PER_INCH, System, count, plain, weight
from partline.workshop.minutes import Choice
from partline.workshop.production import Production
from partline.workshop.run import Limit, Run
from partline.workshop.run_calendar import Day, calendar
from partline.workshop.shrinkage import Shrinkage

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
Row = tuple[str, ...]


def date_words(date: datetime.date) -> str:
    """Return e.g. "Mon 2027-03-01": the same on both sides of an ocean."""
    return f"{_WEEKDAYS[date.weekday()]} {date.isoformat()}"


def share_words(share: float) -> str:
    """Return a share as percent, e.g. "85 %"."""
    return f"{plain(100 * share, 1 if share < 0.1 else 0)} %"


def fine_length(mm: float, system: System = "mm") -> str:
    """Return a length to a hundredth of a millimetre, or a thousandth of an inch."""
    metric, inches = f"{plain(mm, 2)} mm", f"{plain(mm / MM_PER_INCH, 3)} in"
    if system == "mm":
        return metric
    return inches if system == "inches" else f"{metric} ({inches})"


def money(amount: float, currency: str) -> str:
    """Return an amount with two decimals and the user's own word for the money."""
    return f"{amount:.2f} {currency}".strip()


def run_line(run: Run) -> str:
    """Return e.g. "24 good: 29 pulls, 2 moulds, 5 working days"."""
    done = f", done on {date_words(run.finish)}" if run.finish is not None else ""
    return (
        f"{run.good} good: {count(run.pulls, 'pull')}, {count(run.blocks, 'mould')}, "
        f"{count(run.days, 'working day')}{done}"
    )


def bottleneck_words(name: str) -> str:
    """Return what limits a run, said of moulds as the bench does."""
    return name.replace("blocks", "moulds").replace("block", "mould")


def limit_lines(run: Run) -> tuple[str, ...]:
    """Say what limits the run, and what each thing alone would allow a day."""
    lines = [f"What limits it: {bottleneck_words(run.bottleneck)}."]
    if run.limits:
        lines.append(f"Castings a day: {'; '.join(_limit(one, run) for one in run.limits)}.")
    return tuple(lines)


def _limit(limit: Limit, run: Run) -> str:
    number = plain(limit.pulls_a_day, 1)
    if limit.name != "castings a day":
        return f"the {limit.name} {'allow' if limit.name == 'hands' else 'allows'} {number}"
    at_once = 1 if run.terms is None else run.terms.blocks_at_once
    return (
        f"1 mould gives {number}"
        if at_once == 1
        else f"{at_once} moulds side by side give {number}"
    )


def size_lines(size: Shrinkage, system: System = "mm") -> tuple[str, ...]:
    """Say how big castings become, and how big the master would have to be."""
    if size.measured:
        spread = (
            f", mean of {size.measured} castings, likely {plain(size.low_percent, 2)} to "
            f"{plain(size.high_percent, 2)} %"
            if size.measured > 1
            else ", from 1 casting: measure two more"
        )
        origin = f"Shrinkage measured: {plain(size.percent, 2)} %{spread}. It replaces the labels'."
    else:
        origin = (
            f"Shrinkage {plain(size.percent, 2)} %: rubber {plain(size.rubber_percent, 2)} %, "
            f"resin {plain(size.resin_percent, 2)} %; measure a casting to know."
        )
    how = "" if size.generations == 1 else f", {size.generations} generations on"
    off = fine_length(size.trimmed_mm, system)
    cast = fine_length(size.master_mm - size.trimmed_mm, system)
    trimmed = f", its lowest {off} trimmed off," if size.trimmed_mm else ""
    return (
        origin,
        f"From a master {fine_length(size.master_mm, system)} tall{trimmed} castings are "
        f"{fine_length(size.casting_mm, system)}{how}.",
        f"For castings of {cast} the master must be {fine_length(size.needed_mm, system)}: "
        f"{size.factor:.5f} times.",
    )


def calendar_rows(run: Run, *, shown: int = 40) -> tuple[tuple[str, str], ...]:
    """Return when and what, like days put together; what is beyond `shown` is summed up."""
    days = calendar(run)
    first: dict[int, Day] = {}
    for day in days:
        for mould, _ in day.castings:
            first.setdefault(mould, day)
    rows: list[tuple[str, str]] = []
    k = 0
    while k < len(days):
        last = k
        while last + 1 < len(days) and _same(days[k], days[last + 1]):
            last += 1
        when = _when(days[k]) + (f" to {_when(days[last])}" if last > k else "")
        rows.append((when, _what(days[k], first, last - k + 1)))
        k = last + 1
    if len(rows) > shown:
        left = len(rows) - shown
        rows = [*rows[:shown], (f"until {_when(days[-1])}", f"{left} more lines like these")]
    return tuple(rows)


def _same(a: Day, b: Day) -> bool:
    plain_days = not (a.pours or a.cuts or b.pours or b.cuts)
    return plain_days and a.castings == b.castings


def _when(day: Day) -> str:
    return f"day {day.number}" if day.date is None else date_words(day.date)


def _what(day: Day, first: dict[int, Day], times: int) -> str:
    said = []
    for mould in day.cuts:
        said.append(f"cut open mould {mould}, let it air; first casting {_when(first[mould])}"
                    if mould in first and first[mould].number > day.number
                    else f"cut open mould {mould}")  # fmt: skip
    said += [f"pour mould {mould}" for mould in day.pours]
    daily = " a day" if times > 1 else ""
    said += [f"{count(n, 'casting')}{daily} from mould {mould}" for mould, n in day.castings]
    return "; ".join(said)


def order_rows(production: Production) -> tuple[Row, ...]:
    """Return rows of material, what ends in pieces, what is lost and spare, what to order."""
    rows: list[Row] = []
    for item in production.order:
        rows.append((item.name, kilos(item.used_g), kilos(item.lost_g + item.spare_g),
                     kilos(item.order_g)))  # fmt: skip
        rows += [(f"of that {part}", "", "", kilos(grams)) for part, grams in item.parts]
    return tuple(rows)


def kilos(grams: float) -> str:
    """Return a weight [g], in kilograms from one on."""
    return f"{plain(grams / 1000.0, 2)} kg" if grams >= 1000 else weight(grams)


def minutes_rows(production: Production) -> tuple[tuple[str, str], ...]:
    """Return what the work on one good piece consists of."""
    m, run = production.minutes, production.run
    share = run.terms.yield_share if run.terms is not None else 1.0
    voids = "seen on castings" if m.voids_seen else "predicted"
    return (
        ("casting: prepare, mix, fill, demould", f"{plain(m.casting_min)} min"),
        ("the same with the pulls that fail", f"{plain(m.casting_min / share)} min"),
        ("scraping the parting line", f"{plain(m.seam_min)} min"),
        (f"filling voids, {plain(m.voids)} a casting ({voids})", f"{plain(m.voids_min)} min"),
        ("sawing off and dressing the foot", f"{plain(m.gate_min)} min"),
        *((("dressing the stubs of vents", f"{plain(m.stubs_min)} min"),) if m.stubs_min else ()),
        ("priming and looking over", f"{plain(m.prime_min)} min"),
        ("one good piece", f"{plain(m.each_min)} min"),
        (f"all {run.good}", hours(m.each_min * run.good)),
    )


def minutes_lines(production: Production) -> tuple[str, ...]:
    """Say in two sentences what the work on one good piece consists of."""
    m, run = production.minutes, production.run
    share = run.terms.yield_share if run.terms is not None else 1.0
    voids = "seen on castings" if m.voids_seen else "predicted"
    return (
        f"One good piece {plain(m.each_min)} min; all {run.good} {hours(m.each_min * run.good)}.",
        f"Casting {plain(m.casting_min / share)} min ({plain(m.casting_min)} a pull, and those "
        f"that fail); parting line {plain(m.seam_min)}; voids {plain(m.voids_min)} "
        f"({plain(m.voids)} a casting, {voids}); foot {plain(m.gate_min)}; "
        f"{f'stubs of vents {plain(m.stubs_min)}; ' if m.stubs_min else ''}priming and looking "
        f"over {plain(m.prime_min)}.",
    )


def hours(minutes: float) -> str:
    """Return minutes, or hours from two on."""
    return f"{plain(minutes, 0)} min" if minutes < 120 else f"{plain(minutes / 60.0)} h"


def choice_rows(choices: Sequence[Choice]) -> tuple[Row, ...]:
    """Return rows of cuts or mouths: name, out or not, parting line, voids, one piece, the run."""
    return tuple(
        (f"{c.name}{' (planned)' * c.chosen}", _head_of(c.verdict), f"{plain(c.seam_min)} min",
         plain(c.voids), f"{plain(c.each_min)} min", hours(c.run_min))
        for c in choices
    )  # fmt: skip


def _head_of(verdict: str) -> str:
    """Return a verdict without its reasons."""
    return verdict.split(":")[0].split(";")[0].strip().rstrip(".")


def cost_rows(production: Production) -> tuple[Row, ...]:
    """Return rows of the cost of one good piece: what, how it comes about, how much."""
    found = production.cost
    rows: list[Row] = [(c.name, c.words, money(c.each, found.currency)) for c in found.lines]
    if not rows:
        return ()
    rows.append(("one good piece", "", money(found.each, found.currency)))
    if found.price is not None:
        rows.append(("its price", "with the margin, a share of the price",
                     money(found.price, found.currency)))  # fmt: skip
    rows.append((f"all {production.run.good}", "cost", money(found.total, found.currency)))
    return tuple(rows)


def missing_rates(production: Production) -> str:
    """Say which rates are left out; empty when all are given."""
    missing = production.cost.missing
    if not missing:
        return ""
    named = ", ".join(name.replace("_", " ") for name in missing)
    return f"Left out of the sum, because the job does not say what they cost: {named}."
