"""The log appended to: one step, on the disk, never over what stands there."""

from __future__ import annotations

import datetime
import threading
from pathlib import Path

import pytest

from partline.errors import LogError
from partline.workshop.log import Pull
from partline.workshop.log_reading import read_log
from partline.workshop.log_writing import append_pull, log_path, scan_hash

DAY = datetime.date(2027, 3, 2)
PULL = Pull(0, DAY, 1, True, (2,), 61.7, 1.5, "thin ear")


def test_beside_the_job() -> None:
    assert log_path(Path("jobs/ram.toml")) == Path("jobs/ram-log.txt")


def test_the_first_pull_begins_the_log_and_the_next_only_adds(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    scan = "ab" * 32
    append_pull(path, "hut peg", PULL, scan=scan)
    before = path.read_bytes()
    log = append_pull(path, "hut peg", PULL, scan=scan)
    assert path.read_bytes().startswith(before)
    assert [p.note for p in log.pulls] == ["thin ear", "thin ear"]
    assert before.count(b"job: hut peg\n") == 1
    assert f"scan: {scan[:12]}\n".encode() in before


def test_a_half_written_line_is_ended_and_kept(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    append_pull(path, "hut peg", PULL)
    with path.open("ab") as file:
        file.write(b"2027-03-02; mou")
    log = append_pull(path, "hut peg", PULL)
    assert len(log.pulls) == 2
    assert [f.text for f in log.faults] == ["2027-03-02; mou"]


def test_cut_off_at_any_byte_no_whole_line_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    for _ in range(3):
        append_pull(path, "hut peg", PULL)
    whole = path.read_bytes()
    start = whole.index(b"2027-03-02; mould 1; good; voids 2; length 61.7")
    for end in range(start, len(whole)):
        path.write_bytes(whole[:end])
        log = read_log(path, "hut peg")
        assert log is not None
        assert len(log.pulls) >= whole[start:end].count(b"\n")


def test_many_hands_at_once(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    append_pull(path, "hut peg", PULL)
    hands = [threading.Thread(target=append_pull, args=(path, "hut peg", PULL)) for _ in range(12)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    log = read_log(path, "hut peg")
    assert log is not None
    assert (len(log.pulls), log.faults) == (13, ())


def test_what_is_refused_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    append_pull(path, "hut peg", PULL)
    before = path.read_bytes()
    early = Pull(0, DAY - datetime.timedelta(days=1), 1, True)
    with pytest.raises(LogError, match="cannot come after it"):
        append_pull(path, "hut peg", early)
    with pytest.raises(LogError, match="belongs to the job"):
        append_pull(path, "door tile", PULL)
    with pytest.raises(LogError, match="cannot be written down"):
        append_pull(path, "hut peg", Pull(0, DAY, 0, True))
    assert path.read_bytes() == before
    with pytest.raises(LogError, match="cannot be written"):
        append_pull(tmp_path / "no folder" / "log.txt", "hut peg", PULL)


def test_a_new_numbering_is_marked_once(tmp_path: Path) -> None:
    path = tmp_path / "peg-log.txt"
    for mark in ("aa", "aa", "bb"):
        append_pull(path, "hut peg", Pull(0, DAY, 1, True, (1,), places=mark))
    assert path.read_text().count("places: ") == 2
    log = read_log(path, "hut peg")
    assert log is not None
    assert [p.places for p in log.pulls] == ["aa", "aa", "bb"]


def test_a_scan_that_is_not_at_hand_has_no_hash(tmp_path: Path) -> None:
    assert scan_hash(tmp_path / "none.ply") == ""
