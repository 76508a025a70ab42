"""Default figures: each with its unit, its range and where it comes from; a user's own win."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import Any

from partline.errors import WorkshopError
from partline.whole_file import read_plain

TAGS = ("published", "common practice", "from memory", "measured by you")
_PLAIN = ("stock", "cautions")


@dataclass(frozen=True)
class Default:
    """One default figure.

    Attributes
    ----------
    key : str
        E.g. "air.visible_bubble_mm".
    value : float
        The figure, in `unit`.
    unit : str
        E.g. "mm"; empty for a plain share or ratio.
    tag : str
        "published", "common practice", "from memory" or "measured by you".
    source : str
        What sort of publication, if published; otherwise empty.
    range : tuple of float
        What is usual, least and greatest; the value twice if no range is known.
    words : str
        What it is, for a person.
    """

    key: str
    value: float
    unit: str
    tag: str
    source: str
    range: tuple[float, float]
    words: str


@dataclass(frozen=True)
class StockItem:
    """A container that can be bought, measured inside.

    Attributes
    ----------
    name, kind : str
        Kind is "cup" (pails too), "pipe" or "box".
    rim_mm, floor_mm : float
        Inner diameters; a box: inner sizes from side to side [mm].
    height_mm : float
        From the inner floor to the rim [mm]; infinite for a pipe, which is cut to length.
    floor_rise_mm : float
        How far the inner floor lies above the table [mm].
    source : str
        Where the sizes come from.
    depth_mm : float or None
        A box: inner size from front to back at the rim [mm].
    """

    name: str
    kind: str
    rim_mm: float
    floor_mm: float
    height_mm: float
    floor_rise_mm: float
    source: str
    depth_mm: float | None = None


@dataclass(frozen=True)
class Defaults:
    """Every default figure, the stock containers, and the cautions of each step.

    Attributes
    ----------
    figures : mapping of str to Default
        By dotted key.
    stock : tuple of StockItem
    cautions : mapping of str to tuple of str
        Step -> sentences; each list ends with where to look further.
    """

    figures: Mapping[str, Default]
    stock: tuple[StockItem, ...]
    cautions: Mapping[str, tuple[str, ...]]

    def get(self, key: str) -> Default:
        """Return one figure by its dotted key; WorkshopError names the nearest if there is none."""
        try:
            return self.figures[key]
        except KeyError:
            raise WorkshopError(f'There is no default "{key}".{_near(key, self.figures)}') from None

    def value(self, key: str) -> float:
        """Return the bare value of one figure, in its own unit."""
        return self.get(key).value

    def kinds(self, table: str) -> tuple[str, ...]:
        """Return the kinds of "rubber" or "resin" there are."""
        heads = (k.split(".")[1] for k in self.figures if k.startswith(f"{table}."))
        return tuple(dict.fromkeys(heads))

    def of_kind(self, table: str, kind: str) -> dict[str, Default]:
        """Return what is known of one kind of "rubber" or "resin", by short name.

        Raises
        ------
        WorkshopError
            If there is no such kind; the text names those there are.
        """
        if kind not in self.kinds(table):
            known = ", ".join(f'"{k}"' for k in self.kinds(table))
            near = _near(kind, self.kinds(table))
            raise WorkshopError(f'"{kind}" is not a kind of {table} known here.{near} '
                                f"Known are {known}.")  # fmt: skip
        head = f"{table}.{kind}."
        return {k[len(head) :]: d for k, d in self.figures.items() if k.startswith(head)}


def _near(key: str, known: Any) -> str:
    near = difflib.get_close_matches(key, list(known), n=1)
    return f' Did you mean "{near[0]}"?' if near else ""


@cache
def _shipped() -> dict[str, Any]:
    return tomllib.loads(
        files("partline.workshop").joinpath("defaults.toml").read_text(encoding="utf-8")
    )


def defaults(user_file: str | Path | None = None) -> Defaults:
    """Return the default figures, with a user's own file laid over them.

    Parameters
    ----------
    user_file : str or Path, optional
        TOML with the same tables as `defaults.toml`; only what differs need be in it. A figure
        may be given bare (`visible_bubble_mm = 0.8`) and then counts as measured by the user.

    Raises
    ------
    WorkshopError
        If the file cannot be read or names a figure that does not exist.
    """
    if user_file is None:
        return _defaults_of(None, 0)
    path = Path(user_file)
    try:
        stamp = path.stat().st_mtime_ns
    except OSError as error:
        raise WorkshopError(f"Your defaults {path} cannot be read: {error.strerror}.") from error
    return _defaults_of(path, stamp)


@cache
def _defaults_of(path: Path | None, stamp: int) -> Defaults:  # noqa: ARG001 - renews the cache
    figures = dict(_figures(_shipped(), ""))
    stock = _stock(_shipped()["stock"])
    cautions = _cautions(_shipped()["cautions"])
    if path is not None:
        own = _read(path)
        figures = _overlaid(figures, own, path)
        stock = (*stock, *_own_stock(own.get("stock"), path))
    return Defaults(MappingProxyType(figures), stock, MappingProxyType(cautions))


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(read_plain(path).decode("utf-8-sig"))
    except OSError as error:
        raise WorkshopError(f"Your defaults {path} cannot be read: {error.strerror}.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise WorkshopError(f"Your defaults {path} are not TOML in UTF-8: {error}.") from error


def _figures(table: dict[str, Any], head: str) -> list[tuple[str, Default]]:
    found: list[tuple[str, Default]] = []
    for name, entry in table.items():
        key = f"{head}{name}"
        if key in _PLAIN:
            continue
        if "value" in entry:
            low, high = entry.get("range", (entry["value"],) * 2)
            found.append((key, Default(
                key, float(entry["value"]), entry["unit"], entry["tag"], entry.get("source", ""),
                (float(low), float(high)), entry["words"],
            )))  # fmt: skip
        else:
            found += _figures(entry, f"{key}.")
    return found


def _stock(table: dict[str, Any]) -> tuple[StockItem, ...]:
    cups = [
        StockItem(c["name"], "cup", float(c["rim"]), float(c["floor"]), float(c["height"]),
                  float(c["floor_rise"]), table["tag"])
        for c in table["cups"]
    ]  # fmt: skip
    pipes = [
        StockItem(p["name"], "pipe", float(p["bore"]), float(p["bore"]), float("inf"), 0.0,
                  table["tag"])
        for p in table["pipes"]
    ]  # fmt: skip
    boxes = [
        StockItem(b["name"], "box", float(b["rim"]), float(b["floor"]), float(b["height"]),
                  float(b["floor_rise"]), table["tag"], float(b["depth"]))
        for b in table["boxes"]
    ]  # fmt: skip
    return (*cups, *pipes, *boxes)


def _cautions(table: dict[str, Any]) -> dict[str, tuple[str, ...]]:
    return {step: (*words, table["ending"]) for step, words in table.items() if step != "ending"}


def _flat(table: dict[str, Any], head: str) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for name, entry in table.items():
        key = f"{head}{name}"
        if key in _PLAIN:
            continue
        if isinstance(entry, dict) and "value" not in entry:
            found += _flat(entry, f"{key}.")
        else:
            found.append((key, entry))
    return found


def _overlaid(figures: dict[str, Default], own: dict[str, Any], path: Path) -> dict[str, Default]:
    """Lay the user's figures over the shipped ones; a new kind of material may be added."""
    result = dict(figures)
    for key, entry in _flat(own, ""):
        parts = key.split(".")
        # A new kind borrows unit and words from the first kind that has the same figure.
        same = next((d for k, d in figures.items() if parts[0] in ("rubber", "resin")
                     and k.startswith(f"{parts[0]}.") and k.rsplit(".", 1)[1] == parts[-1]
                     and len(parts) == 3), None)  # fmt: skip
        old = figures.get(key, same)
        if old is None:
            raise WorkshopError(f'Your defaults {path}: there is no figure "{key}".'
                                f"{_near(key, figures)}")  # fmt: skip
        given = entry if isinstance(entry, dict) else {"value": entry}
        value = given["value"]
        plain = isinstance(value, (int, float)) and not isinstance(value, bool)
        least = 0.0 if old.range[0] <= 0 else 1e-9
        if not plain or not least <= value < 1e9:
            raise WorkshopError(
                f"Your defaults {path}: {key} = {value!r} is not a number that can be meant "
                f"(its unit is {old.unit or 'a plain share'})."
            )
        if given.get("unit", old.unit) != old.unit:
            raise WorkshopError(f"Your defaults {path}: {key} is in {old.unit}, not "
                                f"{given['unit']}.")  # fmt: skip
        result[key] = Default(key, float(value), old.unit, given.get("tag", "measured by you"),
                              given.get("source", ""), old.range, old.words)  # fmt: skip
    return result


def _own_stock(table: Any, path: Path) -> tuple[StockItem, ...]:
    if table is None:
        return ()
    try:
        return _stock({"cups": [], "pipes": [], "boxes": [], **table, "tag": "measured by you"})
    except (KeyError, TypeError, ValueError) as error:
        raise WorkshopError(
            f"Your defaults {path}: [stock] has an entry that lacks or misspells {error}. A cup "
            "has name, rim, floor, height and floor_rise in mm; a pipe has name and bore; "
            "a box has depth too."
        ) from error


def wall_for(size_mm: float, user_file: str | Path | None = None) -> Default:
    """Return the default wall for a piece whose greatest dimension is `size_mm` [mm]."""
    sizes = ((50.0, "small"), (150.0, "medium"), (250.0, "large"), (float("inf"), "very_large"))
    name = next(name for limit, name in sizes if size_mm < limit or limit == float("inf"))
    return defaults(user_file).get(f"stand.wall_{name}_mm")
