"""What the page about the run and the log shows can be read."""

from __future__ import annotations

import re
from pathlib import Path

from partline.job import read_job
from partline.workshop.log_reading import parse_log

PAGE = (Path(__file__).parents[2] / "docs" / "run_and_log.md").read_text(encoding="utf-8")


def block(kind: str) -> str:
    found = re.search(rf"```{kind}\n(.*?)```", PAGE, re.DOTALL)
    assert found is not None
    return found.group(1)


def test_its_job_file_is_a_job_file_and_gives_every_rate() -> None:
    head = 'name = "peg"\n[scan]\nfile = "peg.ply"\nheight = "62 mm"\n'
    job = read_job(head + block("toml"), ".", check_files=False)
    assert job.run.good == 24
    assert all(getattr(job.rates, name) is not None for name in type(job.rates).model_fields)


def test_its_log_is_a_log() -> None:
    log = parse_log(block("text").encode(), "Sleepy ram coat peg")
    assert len(log.pulls) == 2
    assert log.faults == ()
