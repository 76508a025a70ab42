"""Append a pull to the log in one step; nothing that stands in it is ever rewritten."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from partline.errors import LogError
from partline.workshop.log import Log, Pull
from partline.workshop.log_reading import MARK_LENGTH, parse_pull, read_log

_HEAD = """\
# One line a pull. Edit it by hand as you like; a line that begins with # is passed over.
# 2027-03-02; mould 1; good; voids 2 5; length 61.7 mm; pigment 1.5 g; note thin at the left ear
# voids: their numbers on the bench sheet, "other" for a place without a number, "none" if you
# looked and saw none; left out if nobody looked. pigment: in 100 g of resin.
"""


def log_path(job_file: str | Path) -> Path:
    """Return where the log of a job file lies: beside it."""
    job = Path(job_file)
    return job.with_name(f"{job.stem}-log.txt")


def scan_hash(scan: Path) -> str:
    """Return the SHA-256 of a scan's file, or "" if it is not at hand."""
    try:
        return hashlib.sha256(scan.read_bytes()).hexdigest()
    except OSError:
        return ""


def pull_line(pull: Pull) -> str:
    """Return the line that tells of a pull, without its end."""
    said = [f"{pull.date}", f"mould {pull.mould}", "good" if pull.good else "bad"]
    if pull.voids is not None:
        numbers = " ".join(str(v) if v else "other" for v in pull.voids)
        said.append(f"voids {numbers or 'none'}")
    if pull.length_mm is not None:
        said.append(f"length {float(pull.length_mm)!r} mm")
    if pull.pigment_g is not None:
        said.append(f"pigment {float(pull.pigment_g)!r} g")
    note = " ".join(pull.note.split())
    if note:
        said.append(f"note {note}")
    return "; ".join(said)


def append_pull(path: Path, job: str, pull: Pull, *, scan: str = "") -> Log:
    """Append a pull and return the whole log.

    The line goes in with one write at the end of the file and is on the disk before this
    returns. A last line that was left half written is ended first, so that it spoils no other.

    Parameters
    ----------
    path : Path
    job : str
        Name of the job.
    pull : Pull
        Its `places` is written as a line of its own where it differs from the last.
    scan : str
        SHA-256 of the scan, if at hand.

    Raises
    ------
    LogError
        If the log belongs to another job, the pull cannot be, is dated before the last one, or
        the file cannot be written.
    """
    before = read_log(path, job, scan=scan)
    try:
        parse_pull(pull_line(pull), 0)
    except ValueError as error:
        raise LogError(f"This pull cannot be written down: {error}.") from None
    if before is not None and before.pulls and pull.date < before.pulls[-1].date:
        last = before.pulls[-1]
        raise LogError(
            f"{path.name}, line {last.line}: the last pull is dated {last.date}; one of "
            f"{pull.date} cannot come after it. Nothing was written."
        )
    text = pull_line(pull) + "\n"
    marked = before.pulls[-1].places if before is not None and before.pulls else ""
    if pull.places and pull.places != marked:
        text = f"places: {pull.places}\n{text}"
    if before is None or not before.job:
        head = f"{_HEAD}job: {' '.join(job.split())}\n"
        text = head + (f"scan: {scan[:MARK_LENGTH]}\n" if scan else "") + text
    _append(path, text.encode("utf-8"))
    after = read_log(path, job, scan=scan)
    if after is None:
        raise LogError(f"{path} was written and is not there any more.")
    return after


def _append(path: Path, data: bytes) -> None:
    try:
        handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0),
                         0o644)  # fmt: skip
        try:
            size = os.fstat(handle).st_size
            if size:
                os.lseek(handle, size - 1, os.SEEK_SET)
                data = data if os.read(handle, 1) == b"\n" else b"\n" + data
            written = os.write(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        raise LogError(f"The log {path} cannot be written: {error.strerror}.") from error
    if written != len(data):
        raise LogError(
            f"Only {written} of {len(data)} bytes went into {path}: is the disk full? The last "
            "line may be half written; the log says so when it is read."
        )
