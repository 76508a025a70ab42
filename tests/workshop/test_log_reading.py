"""The log read: every line by itself, faults by number, another job's log refused."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from partline.errors import LogError
from partline.workshop.log import Pull
from partline.workshop.log_reading import parse_log, parse_pull, read_log
from partline.workshop.log_writing import pull_line

HEAD = "job: hut peg\nscan: 0123456789ab\n"
DAY = datetime.date(2027, 3, 2)


def test_a_whole_line() -> None:
    line = "2027-03-02; mould 2; bad; voids 5, 2 other; length 2 7/16 in; pigment 1.5 g; note a; b"
    assert parse_pull(line, 7) == Pull(7, DAY, 2, False, (0, 2, 5), 61.9125, 1.5, "a; b")


def test_looked_and_saw_none_is_not_the_same_as_nobody_looked() -> None:
    assert parse_pull("2027-03-02; mould 1; good; voids none", 1).voids == ()
    assert parse_pull("2027-03-02; mould 1; good", 1).voids is None


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2027-03-02; mould 1", "half written"),
        ("2027-03-02; good", "which mould"),
        ("2027-03-02; mou", '"mou" is not known'),
        ("2027-13-02; mould 1; good", "not a date"),
        ("03/02/2027; mould 1; good", "not a date"),
        ("2027-02-30; mould 1; good", "not a date"),
        ("2027-03-02; mould 0; good", "not a whole number from 1"),
        ("2027-03-02; mould 1; good; bad", "said twice"),
        ("2027-03-02; mould 1; good; length 61.7", "mm"),
        ("2027-03-02; mould 1; good; length -3 mm", "meant"),
        ("2027-03-02; mould 1; good; voids", "give their numbers"),
        ("2027-03-02; mould 1; good; voids 1e3", "whole number"),
        ("2027-03-02; mould 1; good; pigment 300 g", "cannot be meant"),
    ],
)
def test_a_wrong_line_is_named_and_never_costs_another(line: str, words: str) -> None:
    text = f"{HEAD}2027-03-01; mould 1; good\n{line}\n2027-03-03; mould 1; bad\n"
    log = parse_log(text.encode(), "hut peg")
    assert [p.line for p in log.pulls] == [3, 5]
    (fault,) = log.faults
    assert fault.line == 4
    assert words in fault.words


def test_bytes_that_are_no_text_cost_only_their_line() -> None:
    raw = HEAD.encode() + b"2027-03-01; mould 1; good; note \xff\xfe\r\n2027-03-02; mould 1; good"
    log = parse_log(raw, "hut peg")
    assert [p.line for p in log.pulls] == [4]
    assert [f.line for f in log.faults] == [3]


def test_hand_editing_is_forgiven() -> None:
    text = "\ufeff# a note\r\n\r\nJOB:  hut   peg \r\n 2027-3-2 ;MOULD 1;Good ; \r\n"
    log = parse_log(text.encode(), "hut peg")
    assert log.faults == ()
    assert (log.pulls[0].date, log.pulls[0].good) == (DAY, True)


@pytest.mark.parametrize(
    ("text", "job", "scan", "words"),
    [
        (HEAD, "door tile", "", 'line 1: this log belongs to the job "hut peg"'),
        (HEAD, "hut peg", "f" * 64, "line 2: this log was begun with another scan"),
        ("2027-03-02; mould 1; good\n", "hut peg", "", "line 1: the log does not say whose"),
        (
            HEAD + "2027-03-05; mould 1; good\nrubbish\n2027-03-02; mould 1; good\n",
            "hut peg", "", "line 5: dated 2027-03-02, but line 3 above it is dated 2027-03-05",
        ),
    ],
)  # fmt: skip
def test_another_jobs_log_and_dates_that_run_backwards(
    text: str, job: str, scan: str, words: str
) -> None:
    with pytest.raises(LogError, match=words) as caught:
        parse_log(text.encode(), job, name="peg-log.txt", scan=scan)
    assert "\n" not in str(caught.value)


def test_no_log_and_an_empty_one(tmp_path: Path) -> None:
    assert read_log(tmp_path / "none.txt", "hut peg") is None
    (tmp_path / "empty.txt").write_bytes(b"")
    log = read_log(tmp_path / "empty.txt", "hut peg")
    assert log is not None
    assert log.pulls == ()
    with pytest.raises(LogError, match="cannot be read"):
        read_log(tmp_path, "hut peg")


def test_a_numbering_holds_for_the_lines_after_it() -> None:
    one = "2027-03-02; mould 1; good; voids 1\n"
    log = parse_log(f"{HEAD}{one}places: aa\n{one}{one}places: bb\n{one}".encode(), "hut peg")
    assert [p.places for p in log.pulls] == ["", "aa", "aa", "bb"]


PULLS = st.builds(
    Pull,
    line=st.just(0),
    date=st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)),
    mould=st.integers(1, 999_999),
    good=st.booleans(),
    voids=st.none() | st.sets(st.integers(0, 40), max_size=5).map(lambda s: tuple(sorted(s))),
    length_mm=st.none() | st.floats(0.1, 10_000.0),
    pigment_g=st.none() | st.floats(0.0, 100.0),
    note=st.text(st.characters(codec="utf-8", exclude_characters="\ufffd\0"), max_size=30).map(
        lambda s: " ".join(s.split())
    ),
)


@settings(deadline=None)
@given(PULLS)
@example(Pull(line=0, date=DAY, mould=1, good=False, note="thin ; ear ;; left"))
def test_what_is_written_reads_back(pull: Pull) -> None:
    found = parse_pull(pull_line(pull), 0)
    assert (found.date, found.mould, found.good, found.voids) == (
        pull.date, pull.mould, pull.good, pull.voids
    )  # fmt: skip
    assert found.length_mm == pytest.approx(pull.length_mm)
    assert found.pigment_g == pytest.approx(pull.pigment_g)
    assert found.note == pull.note


@settings(deadline=None, max_examples=60)
@given(st.binary(max_size=200))
def test_no_bytes_between_good_lines_lose_them_or_crash(rubbish: bytes) -> None:
    good = b"2027-03-02; mould 1; good\n"
    raw = HEAD.encode() + good + rubbish.replace(b":", b"") + b"\n" + good
    kept = parse_log(raw, "hut peg").pulls
    assert kept[0].line == 3
    assert kept[-1].line == raw.count(b"\n")
