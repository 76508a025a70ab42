"""`partline log` and `partline compare`, as typed at the bench."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "workshop"))
from production_cases import plan

from partline.faces.cli import main
from partline.planfile import open_plan, write_plan

JOB = 'name = "hut peg"\n[scan]\nfile = "peg.ply"\nheight = "62 mm"\n'


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "peg.toml"
    path.write_text(JOB)
    return path


def test_a_pull_is_written_down_and_told(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["log", str(job), "--bad", "--mould", "2", "--date", "2026-03-02", "--voids", "2 5",
                 "--length", "61.7 mm", "--pigment", "1.5 g", "--note", "thin; ear"]  # fmt: skip
    assert main(arguments) == 0
    last = (job.parent / "peg-log.txt").read_text().splitlines()[-1]
    assert last == (
        "2026-03-02; mould 2; bad; voids 2 5; length 61.7 mm; pigment 1.5 g; note thin; ear"
    )
    assert "0 good of 1 pull" in capsys.readouterr().out
    assert main(["log", str(job), "--good"]) == 0
    last = (job.parent / "peg-log.txt").read_text().splitlines()[-1]
    assert last == f"{datetime.date.today()}; mould 2; good"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--mould", "2"], "Say --good or --bad"),
        (["--good", "--date", "2999-01-01"], "has not come yet"),
        (["--good", "--date", "yesterday"], "not a date"),
        (["--good", "--voids", "x"], "whole number"),
        (["--good", "--length", "61; bad"], "cannot be written down"),
        (["--good", "--length", "61"], "cannot be written down"),
        (["--good", "--voids", "1", "--plan", "nowhere"], "no plan.json"),
    ],
)
def test_what_is_wrong_is_one_line_and_nothing_is_written(
    job: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    assert main(["log", str(job), *arguments]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert "Traceback" not in told
    assert not (job.parent / "peg-log.txt").exists()


def test_another_jobs_log_and_a_wrong_line(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = job.parent / "peg-log.txt"
    path.write_text("job: hut peg\n2026-03-02; mould 1; good\n2026-03-02; mou")
    assert main(["log", str(job)]) == 0
    said = capsys.readouterr()
    assert "1 good of 1 pull" in said.out
    assert "peg-log.txt, line 3" in said.err
    path.write_text("job: door tile\n")
    assert main(["log", str(job), "--good"]) == 2
    assert "line 1: this log belongs to the job" in capsys.readouterr().err
    assert path.read_text() == "job: door tile\n"


def test_voids_follow_the_numbering_of_the_plan(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_plan(plan(), job.parent / "peg-plan")
    assert main(["log", str(job), "--good", "--voids", "1 other"]) == 0
    assert "places: " in (job.parent / "peg-log.txt").read_text()
    told = capsys.readouterr().out
    assert "Place 1: predicted: clears; void seen on 1 of 1 casting." in told
    assert "Place without a number: predicted: not foreseen; void seen on 1 of 1 casting." in told
    written = (job.parent / "peg-log.txt").read_text()
    assert main(["log", str(job), "--good", "--voids", "99"]) == 2
    assert "There is no place 99 in the resin" in capsys.readouterr().err
    assert (job.parent / "peg-log.txt").read_text() == written


def test_a_kept_plan_keeps_its_production(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from partline.job import RunPart

    made = plan(run=RunPart(good=24, start=datetime.date(2027, 3, 1)))
    write_plan(made, job.parent / "one")
    write_plan(plan(run=RunPart(good=30)), job.parent / "two")
    kept = open_plan(job.parent / "one")
    assert kept.production == made.production
    assert main(["compare", str(job.parent / "one"), str(job.parent / "two")]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0].startswith("one: ")
    assert "the whole run" in told[1]
    assert told[-1] == "Least work: one."
    assert main(["compare", str(job.parent / "three")]) == 2
