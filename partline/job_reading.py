"""From the text of a job file to a Job, or to one error that lists every fault with its line."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from partline.errors import JobError
from partline.job import Job
from partline.job_checks import crossed
from partline.job_lines import Place, key_lines, line_of
from partline.whole_file import read_plain

Fault = tuple[Place, str]
# Characters of a job, long lists of faces among them, and tables of one kind: more than anybody
# writes or the window does.
LONGEST_JOB = 4_000_000
MOST_TABLES = 1_000
# Faults that are said in words; whoever has mended those sees the next.
MOST_FAULTS = 100
# The reader of TOML takes time with the square of the parts of a key.
_DEEP = re.compile(r"""(?<![\w"'-])(?:[\w"'-]+[ \t]*\.[ \t]*){20}""")
_TABLES = frozenset(Job.model_fields) - {"name"}


def load(path: Path, *, check_files: bool, scans: Sequence[str | Path] = ()) -> Job:
    """Read a job file; see `partline.job.load_job`."""
    try:
        raw = read_plain(path)
    except FileNotFoundError:
        raise JobError(
            f"There is no job file {path}. `partline start MESH` writes one to begin with."
        ) from None
    except IsADirectoryError:
        raise JobError(f"{path} is a folder, not a job file.") from None
    except OSError as error:
        raise JobError(f"The job file {path} cannot be read: {error.strerror}.") from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise JobError(
            f"{path}, line {line}: this is not text in UTF-8 (byte {error.start}). Save the job "
            "file as UTF-8; if it is a mesh, `partline start` makes a job file for it."
        ) from None
    return parse(text, path.parent, name=str(path), check_files=check_files, scans=scans)


def parse(
    text: str, folder: Path, *, name: str, check_files: bool, scans: Sequence[str | Path] = ()
) -> Job:
    """Read the text of a job file; see `partline.job.read_job`."""
    text = text.replace("\r\n", "\n")
    if len(text) > LONGEST_JOB:
        raise JobError(
            f"{name} is longer than a job: {len(text) / 1e6:.1f} million characters, "
            f"{LONGEST_JOB / 1e6:.0f} million is the most that is read. Begin a new one with "
            "`partline start`."
        )
    deep = _DEEP.search(text)
    if deep:
        line = text.count("\n", 0, deep.start()) + 1
        raise JobError(f"{name}, line {line}: no key of a job has so many parts with dots between.")
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise JobError(_not_toml(name, text, str(error))) from None
    faults = [fault for table in ("zones", "shelf") for fault in _too_many(table, data)]
    if faults:
        raise JobError(_listed(name, text, faults))
    context = {"from_file": True, "folder": folder, "check_files": check_files,
               "scans": tuple(scans)}  # fmt: skip
    try:
        job = Job.model_validate(data, context=context, by_alias=True, by_name=False)
    except ValidationError as error:
        some = error.errors(include_url=False)[:MOST_FAULTS]
        faults = [fault_of(tuple(e["loc"]), dict(e)) for e in some]
        raise JobError(_listed(name, text, faults, of=error.error_count())) from None
    faults = list(crossed(job, data, check_files=check_files))
    if faults:
        raise JobError(_listed(name, text, faults))
    return job


def _too_many(table: str, data: dict[str, Any]) -> Iterator[Fault]:
    given = data.get(table)
    if isinstance(given, list) and len(given) > MOST_TABLES:
        words = (
            f"this is the last of {MOST_TABLES} [[{table}]] that are read, of {len(given)} here. "
            "Take some out, or name many faces in one of them."
            if table == "zones"
            else f"this is the last of {MOST_TABLES} [[{table}]] that are read, of {len(given)} "
            "here. Take some out."
        )
        yield (table, MOST_TABLES - 1), words


def _not_toml(name: str, text: str, message: str) -> str:
    match = re.search(r"line (\d+)", message)
    lines = text.split("\n")
    if match is None or not 0 < int(match.group(1)) <= len(lines):
        return f"{name} is not a job file: {message}."
    number = int(match.group(1))
    line = lines[number - 1].strip()
    # A quantity without quotes is by far the likeliest slip.
    slip = re.match(r"^([\w-]+)\s*=\s*([\d./]+\s*[^\d\s\"'\[{#][^#\"]*?)\s*(?:#.*)?$", line)
    hint = f' Text needs quotes: {slip.group(1)} = "{slip.group(2)}".' if slip else ""
    fault = re.sub(r"\s*\(at line.*\)$", "", message)
    return f"{name}, line {number}: {fault} ({line[:80]}).{hint}"


def _listed(name: str, text: str, faults: list[Fault], *, of: int = 0) -> str:
    lines = key_lines(text)
    placed = sorted(
        ((line_of(lines, place) or 0, _key_words(place), words) for place, words in faults),
        key=lambda fault: fault[0],
    )
    shown = [f"{f'line {line}, ' if line else ''}{key}: {words}" for line, key, words in placed]
    if len(shown) == 1:
        return f"{name}, {shown[0]}"
    more = of - len(shown)
    if more > 0:
        shown.append(f"and {more} more.")
    return f"{name} has {max(of, len(faults))} faults:\n" + "\n".join(f"  {line}" for line in shown)


def _key_words(place: Place) -> str:
    """Return e.g. "[scan] height", "[[shelf]] 2, rim" for a path of keys."""
    if len(place) == 1:
        return f"[{place[0]}]" if place[0] in _TABLES else str(place[0])
    table, rest = place[0], list(place[1:])
    if table in ("zones", "shelf") and isinstance(rest[0], int):
        head = f"[[{table}]] number {rest.pop(0) + 1}"  # type: ignore[operator]
    else:
        head = f"[{table}]"
    names = ".".join(str(part) for part in rest if isinstance(part, str))
    return f"{head} {names}".strip()


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models(inner)


def _keys(model: type[BaseModel]) -> dict[str, Any]:
    return {str(f.validation_alias or n): f for n, f in model.model_fields.items()}


def _field(place: Place) -> tuple[type[BaseModel], Any]:
    """Return the model that holds the last named key of a path, and its field if it has one."""
    model: type[BaseModel] = Job
    field: Any = None
    for part in place:
        if isinstance(part, int):
            continue
        if field is not None:
            inner = next(_models(field.annotation), None)
            if inner is None:
                return model, field
            model = inner
        field = _keys(model).get(part)
        if field is None:
            return model, None
    return model, field


def fault_of(place: Place, error: dict[str, Any]) -> Fault:
    """Return where a fault of the job's checker lies, and what it is in words."""
    kind, context = error["type"], error.get("ctx") or {}
    given = _brief(error.get("input"))
    model, field = _field(place)
    about = f" ({field.description})" if field is not None and field.description else ""
    if kind == "value_error":
        words = str(context["error"])
    elif kind == "extra_forbidden":
        words = _no_such_key(str(place[-1]), model)
    elif kind == "missing" and isinstance(place[-1], str):
        words = f"this {'table' if place in {('scan',)} else 'key'} is missing{about}."
    elif kind == "literal_error":
        words = f"{given} is not one of {context['expected']}."
    elif kind.startswith(("greater_than", "less_than")):
        bound = {"greater_than": "more than", "greater_than_equal": "at least",
                 "less_than": "less than", "less_than_equal": "at most"}[kind]  # fmt: skip
        limit = next(iter(context.values()))
        words = f"{given} cannot be meant; it must be {bound} {limit:g}."
    elif len(place) == 1 and place[0] in _TABLES:
        head = f"[[{place[0]}]]" if place[0] in ("zones", "shelf") else f"[{place[0]}]"
        words = f"{given} does not fit here: write it as a table under the line {head}."
    else:
        words = f"{given} does not fit here: {_wanted(kind, error['msg'])}{about}."
    return place, words


def _brief(value: Any) -> str:
    shown = repr(value)
    return shown if len(shown) <= 60 else f"{shown[:57]}..."


def _wanted(kind: str, message: str) -> str:
    wanted = {
        "int": "a whole number is wanted",
        "float": "a plain number is wanted",
        "bool": "true or false is wanted",
        "string": "text in quotes is wanted",
        "tuple": "a list of numbers in square brackets is wanted",
        "model": "a table of keys is wanted",
        "dict": "a table of names and values is wanted",
        "too": "three numbers are wanted",
        "missing": "three numbers are wanted",
        "finite": "a finite number is wanted",
    }
    return wanted.get(kind.split("_")[0], message)


def _no_such_key(key: str, model: type[BaseModel]) -> str:
    keys = _keys(model)
    near = difflib.get_close_matches(key, keys, n=1, cutoff=0.6)
    if near:
        return f'there is no such key. Did you mean "{near[0]}"?'
    homes = [
        table
        for table, field in _keys(Job).items()
        for inner in _models(field.annotation)
        if key in _keys(inner)
    ]
    if homes:
        return f"there is no such key here; it belongs in [{homes[0]}]."
    return f"there is no such key. It could be: {', '.join(keys)}."
