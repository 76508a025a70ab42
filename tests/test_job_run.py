"""The run and the rates in a job file."""

from __future__ import annotations

import datetime

import pytest

from partline.errors import JobError
from partline.job import read_job, write_job
from partline.job_run import RunPart, stated

HEAD = 'name = "peg"\n[scan]\nfile = "peg.ply"\nheight = "62 mm"\n'
FULL = """\
[run]
good = 24
start = 2027-03-01
working_days = ["Monday", "tue"]
days_off = ["2027-03-08", 2027-03-09]
cycle = "40 min"
air_out = "1 day"
hands = 2
generations = 2
[rates]
currency = "EUR"
master = 400
rubber = "18 per lb"
labour = "0.5 per min"
margin = "30 %"
overhead = 0
"""


def test_dates_and_rates_read_and_come_back() -> None:
    job = read_job(HEAD + FULL, ".", check_files=False)
    assert job.run.start == datetime.date(2027, 3, 1)
    assert job.run.working_days == ("mon", "tue")
    assert job.run.days_off == (datetime.date(2027, 3, 8), datetime.date(2027, 3, 9))
    assert (job.run.cycle_min, job.run.air_out_min) == (40.0, 1440.0)
    # a pound is 0.45359237 kg exactly (international agreement of 1959)
    assert job.rates.rubber_per_kg == pytest.approx(18 / 0.45359237)
    assert (job.rates.labour_per_h, job.rates.margin, job.rates.overhead) == (30.0, 0.3, 0.0)
    assert read_job(write_job(job), ".", check_files=False) == job


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("[run]\nstart = 5", r"line 6, \[run\] start: 5 is not a date"),
        ('[run]\nstart = "2027-02-30"', "is not a date"),
        ("[run]\nstart = 2027-03-01T08:00:00", "time of day"),
        ("[run]\nworking_days = []", "no day is worked on"),
        ('[run]\nworking_days = ["xx"]', "not a day of the week"),
        ("[run]\nhands = 0", "at least 1"),
        ("[run]\nlife = 0", "at least 1"),
        ("[run]\nyield_share = 1.2", "share"),
        ("[run]\nyield_share = 0", "share"),
        ("[rates]\nrubber = 38", "for how much"),
        ('[rates]\nrubber = "38"', "is not a rate"),
        ('[rates]\nrubber = "38 per mm"', "length"),
        ('[rates]\nlabour = "-3 per h"', "cannot be meant"),
        ('[rates]\nlabour = "nan per h"', "cannot be meant"),
        ("[rates]\nmargin = 1.0", "less than 1"),
        ("[rates]\nmaster = -1", "at least 0"),
    ],
)
def test_what_cannot_be_names_key_and_line(line: str, words: str) -> None:
    with pytest.raises(JobError, match=words):
        read_job(HEAD + line + "\n", ".", check_files=False)


def test_stated_is_not_the_same_as_left_alone() -> None:
    assert stated(RunPart(life=20), "life") == 20
    assert stated(RunPart(), "life") is None
