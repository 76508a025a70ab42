"""On which line of a TOML text each key stands, so that an error can say so."""

from __future__ import annotations

import re
from bisect import bisect_left

Place = tuple[str | int, ...]

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED = re.compile(rf"\s*({_KEY}(?:\s*\.\s*{_KEY})*)\s*")
_ONE = re.compile(_KEY)


def key_lines(text: str) -> dict[Place, int]:
    """Return the line, counted from 1, of every table and key of a valid TOML text.

    Parameters
    ----------
    text : str
        TOML that has already been read without fault.

    Returns
    -------
    dict
        Path of names and list positions -> line. Keys of an inline table have their own entry.
    """
    found: dict[Place, int] = {}  # where each begins in the text, until the end
    counts: dict[Place, int] = {}
    table: Place = ()
    position = 0
    while position < len(text):
        rest = text[position : _line_end(text, position)].strip()
        if not rest or rest.startswith("#"):
            position = _line_end(text, position) + 1
        elif rest.startswith("["):
            table = _table(rest, counts, found, position)
            position = _line_end(text, position) + 1
        else:
            position = _statement(text, position, table, found)
            position = _line_end(text, position) + 1
    ends = [k for k, character in enumerate(text) if character == "\n"]
    return {path: bisect_left(ends, start) + 1 for path, start in found.items()}


def line_of(lines: dict[Place, int], place: Place) -> int | None:
    """Return the line of a key, or of the nearest thing round it that has one."""
    for length in range(len(place), 0, -1):
        if place[:length] in lines:
            return lines[place[:length]]
    return None


def _line_end(text: str, position: int) -> int:
    end = text.find("\n", position)
    return len(text) if end < 0 else end


def _names(dotted: str) -> Place:
    return tuple(
        key[1:-1] if key[0] in "\"'" else key for key in (m[0] for m in _ONE.finditer(dotted))
    )


def _table(header: str, counts: dict[Place, int], found: dict[Place, int], start: int) -> Place:
    """Enter a [table] or [[list of tables]] and return its path."""
    several = header.startswith("[[")
    match = _DOTTED.match(header.lstrip("["))
    names = _names(match.group(1)) if match else ()
    path: Place = ()
    for depth, name in enumerate(names):
        path = (*path, name)
        last = depth == len(names) - 1
        if last and several:
            counts[path] = counts.get(path, -1) + 1
            found.setdefault(path, start)
        if path in counts:
            path = (*path, counts[path])
    found.setdefault(path, start)
    return path


def _statement(text: str, position: int, table: Place, found: dict[Place, int]) -> int:
    """Enter `key = value`; return where the value ends."""
    match = _DOTTED.match(text, position)
    if match is None:
        return position
    path: Place = (*table, *_names(match.group(1)))
    found.setdefault(path, match.start(1))
    return _value(text, text.find("=", match.end()) + 1, path, found)


def _value(text: str, position: int, path: Place, found: dict[Place, int]) -> int:
    """Pass over one value, entering the keys of inline tables; return where it ends."""
    position = _blank(text, position)
    opening = text[position : position + 1]
    if opening == "{":
        position = _blank(text, position + 1)
        while text[position] != "}":
            position = _blank(text, _statement(text, position, path, found))
            position = _blank(text, position + 1) if text[position] == "," else position
        return position + 1
    if opening == "[":
        position, index = _blank(text, position + 1), 0
        while text[position] != "]":
            found.setdefault((*path, index), position)
            position = _blank(text, _value(text, position, (*path, index), found))
            position = _blank(text, position + 1) if text[position] == "," else position
            index += 1
        return position + 1
    for quote in ('"""', "'''", '"', "'"):
        if text.startswith(quote, position):
            return _string_end(text, position + len(quote), quote)
    while position < len(text) and text[position] not in ",]}#\n":
        position += 1
    return position


def _string_end(text: str, position: int, quote: str) -> int:
    while not text.startswith(quote, position):
        position += 2 if text[position] == "\\" and quote[0] == '"' else 1
    position += len(quote)
    while len(quote) == 3 and text.startswith(quote[0], position):  # up to two more belong to it
        position += 1
    return position


def _blank(text: str, position: int) -> int:
    """Pass over spaces, line ends and comments."""
    while position < len(text):
        if text[position] == "#":
            position = _line_end(text, position)
        elif text[position].isspace():
            position += 1
        else:
            break
    return position
