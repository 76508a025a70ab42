"""The saved shelf: the cups, pipes and boxes that the user has measured once for all jobs."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from partline.errors import WorkshopError
from partline.job import Job, ShelfItem
from partline.job_checks import shelf_faults
from partline.job_writing import keys_of
from partline.whole_file import read_plain, replace_file

_HEAD = "# Containers you have, measured inside: see `partline shelf --help`.\n"


def shelf_path() -> Path:
    """Return where the saved shelf is kept: PARTLINE_SHELF, else this user's own settings."""
    from platformdirs import user_config_path

    named = os.environ.get("PARTLINE_SHELF")
    return Path(named) if named else user_config_path("partline", appauthor=False) / "shelf.toml"


def read_shelf(path: Path) -> tuple[ShelfItem, ...]:
    """Return the containers on a saved shelf; none where there is no file.

    Raises
    ------
    WorkshopError
        If the file cannot be read or a container in it cannot be; the text names the key.
    """
    try:
        top = tomllib.loads(read_plain(path).decode("utf-8-sig"))
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise WorkshopError(f"Your shelf {path} cannot be read: {error.strerror}.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise WorkshopError(f"Your shelf {path} is not TOML in UTF-8: {error}.") from error
    entries = top.get("shelf", [])
    if set(top) - {"shelf"} or not isinstance(entries, list):
        raise WorkshopError(f"Your shelf {path} holds [[shelf]] entries and nothing else.")
    items = tuple(shelf_item(entry, f"Your shelf {path}") for entry in entries)
    names = [item.name for item in items]
    for name in names:
        if names.count(name) > 1:
            raise WorkshopError(f'Your shelf {path}: "{name}" is there twice.')
    return items


def shelf_item(entry: Any, where: str) -> ShelfItem:
    """Return a container from keys as in a job file, each size a text with its unit.

    Raises
    ------
    WorkshopError
        If a key is missing, unknown or cannot be.
    """
    try:
        item = ShelfItem.model_validate(entry, context={"from_file": True})
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "entry"
        words = str(first["msg"]).removeprefix("Value error, ")
        raise WorkshopError(f"{where}: {key}: {words}") from None
    for key, words in shelf_faults(item):
        raise WorkshopError(f"{where}: {item.name}: {key}: {words}")
    return item


def save_shelf(path: Path, items: Sequence[ShelfItem]) -> None:
    """Write a shelf whole or not at all.

    Raises
    ------
    WorkshopError
        If it cannot be written.
    """
    text = _HEAD + "".join("\n[[shelf]]\n" + "\n".join(keys_of(i)) + "\n" for i in items)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, text.encode("utf-8"))
    except OSError as error:
        raise WorkshopError(f"Your shelf {path} cannot be written: {error.strerror}.") from error


def with_shelf(job: Job, items: Sequence[ShelfItem]) -> Job:
    """Return the job with the saved containers behind its own; its own names win."""
    named = {item.name for item in job.shelf}
    more = tuple(item for item in items if item.name not in named)
    return job.model_copy(update={"shelf": (*job.shelf, *more)}) if more else job
