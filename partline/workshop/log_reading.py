"""Read a log, a line a pull; a line that is wrong is reported and never costs another one."""

from __future__ import annotations

import datetime
import itertools
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from partline import units
from partline.errors import LogError, UnitError
from partline.whole_file import read_plain
from partline.workshop.log import Fault, Log, Pull

MARK_LENGTH = 12
_HEADER = re.compile(r"^(job|scan|places)\s*:\s*(.*)$", re.IGNORECASE)
_OTHER = "other"


def read_log(path: Path, job: str, *, scan: str = "") -> Log | None:
    """Return the log in a file, or None if there is no such file.

    Parameters
    ----------
    path : Path
    job : str
        Name of the job it must belong to.
    scan : str
        SHA-256 of the job's scan, if it is at hand, to be compared with the log's.

    Raises
    ------
    LogError
        If it cannot be read, belongs to another job, or its dates run backwards; the text
        names the line.
    """
    try:
        raw = read_plain(path)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise LogError(f"The log {path} cannot be read: {error.strerror}.") from error
    return parse_log(raw, job, name=path.name, scan=scan)


def parse_log(raw: bytes, job: str, *, name: str = "the log", scan: str = "") -> Log:
    """Return the log in the bytes of a file; see `read_log`."""
    pulls: list[Pull] = []
    faults: list[Fault] = []
    found: str | None = None
    places = ""
    for number, data in enumerate(raw.removeprefix(b"\xef\xbb\xbf").split(b"\n"), 1):
        text = data.decode("utf-8", errors="replace").strip()
        if not text or text.startswith("#"):
            continue
        header = _HEADER.match(text)
        if header is not None:
            key, value = header.group(1).lower(), header.group(2).strip()
            places = value if key == "places" else places
            found = value if key == "job" else found
            _same(name, number, key, value, job, scan)
            continue
        try:
            if "\ufffd" in text or "\0" in text:
                raise ValueError("this is not text in UTF-8; write the line again")
            pulls.append(parse_pull(text, number, places))
        except ValueError as error:
            faults.append(Fault(number, text[:80], str(error)))
    if pulls and found is None:
        raise LogError(
            f'{name}, line 1: the log does not say whose it is. Write "job: {_one_line(job)}" '
            "there if it belongs to this job."
        )
    _forward(name, pulls)
    return Log(name, found or "", tuple(pulls), tuple(faults))


def _same(name: str, line: int, key: str, value: str, job: str, scan: str) -> None:
    """Raise LogError where a header names another job or another scan."""
    if key == "job" and _one_line(value) != _one_line(job):
        raise LogError(
            f'{name}, line {line}: this log belongs to the job "{value}", not to '
            f'"{_one_line(job)}". Nothing was read or written. If the job was only renamed, '
            "change that line."
        )
    if key == "scan" and scan and value.lower() != scan[:MARK_LENGTH].lower():
        raise LogError(
            f"{name}, line {line}: this log was begun with another scan ({value}; the job's is "
            f"{scan[:MARK_LENGTH]}). Nothing was read or written. If it shows the same master, "
            "change that line; if not, move the log away and a new one is begun."
        )


def _forward(name: str, pulls: list[Pull]) -> None:
    for before, after in itertools.pairwise(pulls):
        if after.date < before.date:
            raise LogError(
                f"{name}, line {after.line}: dated {after.date}, but line {before.line} above it "
                f"is dated {before.date}; dates do not run backwards. Mend whichever is wrong."
            )


def _one_line(text: str) -> str:
    return " ".join(text.split())


def parse_pull(text: str, line: int, places: str = "") -> Pull:
    """Return the pull that one line tells of.

    Raises
    ------
    ValueError
        If it is wrong or half-written; the text says how.
    """
    date, *rest = text.split(";")
    said: dict[str, Any] = {"date": _date(date.strip())}
    for k, field in enumerate(rest):
        word, _, value = field.lstrip().partition(" ")
        word = word.strip().lower()
        if not word:
            continue
        key, read = ("good", lambda w: w == "good") if word in ("good", "bad") else _FIELDS.get(
            word, ("", str)
        )  # fmt: skip
        if not key:
            raise ValueError(
                f'"{field.strip()[:40]}" is not known here; after the date come mould, good or '
                "bad, voids, length, pigment, note, with ; between them"
            )
        if key in said:
            raise ValueError(f'"{word}" is said twice')
        if key == "note":  # what follows is all note, whatever stands in it
            said[key] = ";".join([value, *rest[k + 1 :]]).strip()
            break
        said[key] = read(word if key == "good" else value.strip())
    for key, words in (("mould", 'which mould: "mould 1"'), ("good", '"good" or "bad"')):
        if key not in said:
            raise ValueError(f"it does not say {words}; is the line half written?")
    return Pull(line=line, places=places, **said)


def _date(text: str) -> datetime.date:
    try:
        return datetime.datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError:
        raise ValueError(
            f'"{text[:30]}" is not a date; a line begins with year, month, day, like 2027-03-02'
        ) from None


def _whole(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text) or int(text) == 0:
        raise ValueError(f'"{text[:20]}" is not a whole number from 1')
    return int(text)


def _voids(text: str) -> tuple[int, ...]:
    words = [w for w in re.split(r"[\s,]+", text.lower()) if w]
    if not words:
        raise ValueError('voids: give their numbers, "other", or "none" if you saw none')
    if words == ["none"]:
        return ()
    return tuple(sorted({0 if w == _OTHER else _whole(w) for w in words}))


def _between(text: str, read: Callable[[object], float], low: float, high: float) -> float:
    try:
        value = read(text)
    except UnitError as error:
        raise ValueError(str(error)) from None
    if not low <= value <= high:
        raise ValueError(f'"{text[:20]}" cannot be meant')
    return value


_FIELDS: dict[str, tuple[str, Callable[[str], Any]]] = {
    "mould": ("mould", _whole),
    "mold": ("mould", _whole),
    "voids": ("voids", _voids),
    "length": ("length_mm", lambda text: _between(text, units.length_mm, 0.1, 10_000.0)),
    "pigment": ("pigment_g", lambda text: _between(text, units.mass_g, 0.0, 100.0)),
    "note": ("note", str),
}
