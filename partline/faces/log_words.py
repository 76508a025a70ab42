"""What the log says, in plain sentences and rows, in counts and not in adjectives."""

from __future__ import annotations

from collections.abc import Sequence

from partline.faces.figures import count, plain
from partline.faces.run_words import share_words
from partline.workshop.learning import CONFIDENCE, Learned, MouldRecord, PlaceRecord
from partline.workshop.log import Log
from partline.workshop.production import Production

Row = tuple[str, ...]


def yield_lines(production: Production) -> tuple[str, ...]:
    """Say with which yield the run is planned, and how sure that is."""
    run, taught = production.run, production.learned
    share = run.terms.yield_share if run.terms is not None else run.good / run.pulls
    origin = {"job": "as you said", "default": "usual, not yours"}
    if production.yield_from != "log" or taught is None:
        lines = [f"Yield {share_words(share)}, {origin.get(production.yield_from, '')}."]
        if taught is not None:
            lines.append(
                f"None of {count(taught.pulls, 'pull')} in the log was good: no run can be planned "
                "with that, so the figure above stands until one is."
            )
        return tuple(lines)
    fewest, most = production.pulls_range
    bounds = f"{fewest} to {most} pulls" if most else f"{fewest} pulls or any number more"
    first, second = measured_lines(taught)
    return (
        f"{first} It replaces what was stated or usual.",
        f"{second} That is {bounds}.",
        f"So far {taught.good} good; {max(0, run.good - taught.good)} to go, about "
        f"{count(production.pulls_to_go, 'pull')}.",
    )


def measured_lines(taught: Learned) -> tuple[str, str]:
    """Return the yield found, and how sure so many pulls make it."""
    return (
        f"Yield measured: {taught.good} good of {count(taught.pulls, 'pull')}, "
        f"{share_words(taught.good / taught.pulls)}.",
        f"So many pulls leave it between {share_words(taught.yield_low)} and "
        f"{share_words(taught.yield_high)} ({plain(100 * CONFIDENCE, 0)} % bounds).",
    )


def mould_lines(taught: Learned) -> tuple[str, ...]:
    """Say what each mould has given and which nears its end."""
    return tuple(_mould(record) for record in taught.moulds)


def _mould(record: MouldRecord) -> str:
    left = (
        f"{record.left} left of its life"
        if record.left > 0
        else f"{-record.left} past its life"
        if record.left < 0
        else "its life is used up"
    )
    tail = " Its end is near: make the next one now." if record.near_end else ""
    were = "was" if record.recent_bad == 1 else "were"
    bad = (
        f" Of its last {record.recent}, {record.recent_bad} {were} bad."
        if record.pulls > record.recent
        else ""
    )
    return (
        f"Mould {record.number}: {count(record.pulls, 'pull')}, {record.good} good; {left}.{bad}"
        f"{tail}"
    )


def place_rows(records: Sequence[PlaceRecord]) -> tuple[Row, ...]:
    """Return rows of predicted and seen voids: place, predicted, how often seen."""
    names = {True: "air stays", False: "clears", None: "not foreseen"}
    return tuple(
        (
            str(r.number) if r.number else "without a number",
            names[r.holds],
            f"{r.seen} of {count(r.looked, 'casting')}",
        )
        for r in records
    )


def prediction_lines(records: Sequence[PlaceRecord], earlier: int) -> tuple[str, ...]:
    """Sum up predicted against seen voids, in counts."""
    lines = []
    if records and records[0].looked:
        holds = [r for r in records if r.holds]
        clear = [r for r in records if r.holds is False]
        others = [r for r in records if r.holds is None]
        lines.append(
            f"Of {count(len(holds), 'place')} where air was predicted to stay, "
            f"{sum(r.seen > 0 for r in holds)} showed a void at least once; of "
            f"{len(clear)} predicted to clear, {sum(r.seen > 0 for r in clear)} did. Voids in "
            f"places not foreseen: {sum(r.seen for r in others)}."
        )
    if earlier:
        lines.append(
            f"{count(earlier, 'casting')} written down under an earlier numbering "
            f"{'is' if earlier == 1 else 'are'} left out here."
        )
    return tuple(lines)


def fault_lines(log: Log) -> tuple[str, ...]:
    """Say which lines of a log could not be read."""
    return tuple(f'{log.name}, line {f.line}: {f.words} ("{f.text}").' for f in log.faults)


def odd_lines(log: Log, taught: Learned) -> tuple[str, ...]:
    """Say which measured lengths were left out because they cannot be meant."""
    return tuple(
        f"{log.name}, line {line}: the length is no shrinkage of this piece and was left out; is "
        "it the same length as on the master?"
        for line in taught.odd_lines
    )
