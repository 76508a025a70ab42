"""The run and the log in words and rows."""

from __future__ import annotations

import dataclasses
import datetime
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
from production_cases import production

from partline.faces import log_words, run_words
from partline.job import RunPart
from partline.job_run import RatesPart
from partline.workshop.learning import MouldRecord, PlaceRecord, learned
from partline.workshop.log import Fault, Log, Pull
from partline.workshop.run_planning import plan_run
from partline.workshop.shrinkage import shrinkage

DAY = datetime.date(2027, 3, 2)


def log_of(*pulls: Pull) -> Log:
    return Log("peg-log.txt", "hut peg", pulls, (Fault(9, "2027-03-02; mou", "half written"),))


def test_the_run_in_one_line() -> None:
    run = plan_run(24, start=datetime.date(2027, 3, 1))
    assert run_words.run_line(run) == (
        "24 good: 29 pulls, 2 moulds, 5 working days, done on Fri 2027-03-05"
    )
    assert run_words.run_line(plan_run(24)) == "24 good: 29 pulls, 2 moulds, 5 working days"


def test_what_limits_it_is_said_of_moulds() -> None:
    lines = run_words.limit_lines(plan_run(24, hands=1, hands_min=40.0))
    assert lines == (
        "What limits it: making the moulds.",
        "Castings a day: 1 mould gives 10; the hands allow 12.",
    )


def test_the_calendar_puts_like_days_together_and_stays_short() -> None:
    rows = run_words.calendar_rows(plan_run(100, yield_share=1.0, life=100))
    assert rows[0] == ("day 1", "pour mould 1")
    assert rows[1] == ("day 2", "cut open mould 1, let it air; first casting day 3")
    assert rows[2] == ("day 3 to day 12", "10 castings a day from mould 1")
    long = run_words.calendar_rows(plan_run(200, yield_share=1.0, life=1), shown=10)
    assert len(long) == 11
    assert long[-1][1].endswith("more lines like these")


def test_the_yield_says_where_it_comes_from() -> None:
    assert log_words.yield_lines(production()) == ("Yield 85 %, usual, not yours.",)
    said = log_words.yield_lines(production(run=RunPart(yield_share=0.5)))
    assert said == ("Yield 50 %, as you said.",)
    pulls = [Pull(k, DAY, 1, k != 3) for k in range(4)]
    first, bounds, to_go = log_words.yield_lines(production(log_of(*pulls), run=RunPart(good=24)))
    assert first == "Yield measured: 3 good of 4 pulls, 75 %. It replaces what was stated or usual."
    assert "95 % bounds" in bounds
    assert to_go == "So far 3 good; 21 to go, about 28 pulls."
    none = log_words.yield_lines(production(log_of(Pull(4, DAY, 1, False))))
    assert "None of 1 pull" in none[1]


def test_sizes_both_ways_and_measured() -> None:
    labels, obtained, needed = run_words.size_lines(production().size)
    assert labels.startswith("Shrinkage 0.8 %: rubber 0.4 %, resin 0.4 %")
    assert obtained == "From a master 62 mm tall castings are 61.5 mm."
    assert needed == "For castings of 62 mm the master must be 62.5 mm: 1.00805 times."
    one = production(log_of(Pull(4, DAY, 1, True, length_mm=61.38))).size
    assert "from 1 casting: measure two more" in run_words.size_lines(one)[0]
    assert "in)" in run_words.size_lines(one, "both")[1]


def test_what_is_trimmed_off_is_not_cast() -> None:
    cut = shrinkage(60.0, rubber_percent=0.4, resin_percent=0.4, trimmed_mm=5.0)
    _, obtained, needed = run_words.size_lines(cut)
    # 55 mm times 0.996 squared
    assert obtained.endswith("60 mm tall, its lowest 5 mm trimmed off, castings are 54.56 mm.")
    assert needed == "For castings of 55 mm the master must be 60.48 mm: 1.00805 times."


def test_cost_only_by_given_rates() -> None:
    bare = production(run=RunPart(good=24))
    assert run_words.cost_rows(bare) == ()
    assert "rubber, resin" in run_words.missing_rates(bare)
    rates = RatesPart(currency="EUR", master=240.0, margin=0.5)
    rows = run_words.cost_rows(production(run=RunPart(good=24), rates=rates))
    assert rows[0] == ("master", "shared by 24", "10.00 EUR")
    assert ("its price", "with the margin, a share of the price", "20.00 EUR") in rows
    assert rows[-1] == ("all 24", "cost", "240.00 EUR")


def test_orders_work_and_choices_have_their_rows() -> None:
    made = production(run=RunPart(good=24))
    assert {"rubber", "resin"} <= {row[0] for row in run_words.order_rows(made)}
    assert run_words.minutes_rows(made)[-1][0] == "all 24"
    assert run_words.minutes_lines(made)[0].startswith("One good piece ")
    assert run_words.choice_rows(made.cuts)[0][0].endswith("(planned)")
    assert (run_words.hours(90.0), run_words.hours(150.0)) == ("90 min", "2.5 h")


@pytest.mark.parametrize(
    ("record", "words"),
    [
        (MouldRecord(1, 4, 3, 16, False, 4, 1), "Mould 1: 4 pulls, 3 good; 16 left of its life."),
        (MouldRecord(1, 18, 15, 2, True, 5, 2), "18 pulls, 15 good; 2 left of its life. Of its "
         "last 5, 2 were bad. Its end is near"),
        (MouldRecord(1, 23, 20, -3, True, 5, 2), "3 past its life"),
        (MouldRecord(1, 20, 20, 0, True, 5, 0), "its life is used up"),
    ],
)  # fmt: skip
def test_moulds_in_counts(record: MouldRecord, words: str) -> None:
    taught = learned(log_of(Pull(4, DAY, 1, True)), life=20)
    assert taught is not None
    (line,) = log_words.mould_lines(dataclasses.replace(taught, moulds=(record,)))
    assert words in line


def test_places_in_counts() -> None:
    records = (PlaceRecord(1, True, 12, 9), PlaceRecord(2, False, 12, 1),
               PlaceRecord(0, None, 12, 2))  # fmt: skip
    assert log_words.place_rows(records) == (
        ("1", "air stays", "9 of 12 castings"),
        ("2", "clears", "1 of 12 castings"),
        ("without a number", "not foreseen", "2 of 12 castings"),
    )
    lines = log_words.prediction_lines(records, 1)
    assert lines[0].endswith("Voids in places not foreseen: 2.")
    assert "1 casting written down under an earlier numbering is left out" in lines[1]


def test_faults_and_odd_lengths_name_their_line() -> None:
    log = log_of(Pull(7, DAY, 1, True, length_mm=30.0))
    taught = learned(log, life=20, master_mm=62.0)
    assert taught is not None
    assert log_words.fault_lines(log) == ('peg-log.txt, line 9: half written ("2027-03-02; mou").',)
    assert log_words.odd_lines(log, taught)[0].startswith("peg-log.txt, line 7: ")
