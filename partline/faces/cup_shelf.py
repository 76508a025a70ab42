"""The cups in words, and a new one from what a rule reads inside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partline.errors import WorkshopError
from partline.faces.figures import System, length
from partline.job import ShelfItem
from partline.workshop.shelf import shelf_item

MEASURES = {
    "cup": ("rim", "floor", "height"),
    "pipe": ("rim", "height"),
    "box": ("rim", "depth", "floor", "height"),
}
"""What is measured inside each kind of container."""


def cup_words(item: ShelfItem, system: System = "mm") -> str:
    """Return a container in one line."""
    sizes = f"rim {length(item.rim_mm, system)}"
    if item.depth_mm is not None:
        sizes += f" by {length(item.depth_mm, system)}"
    if item.floor_mm is not None and item.floor_mm != item.rim_mm:
        sizes += f", floor {length(item.floor_mm, system)}"
    return f"{item.name}: {sizes}, {length(item.height_mm, system)} high"


def measured_cup(name: str, kind: str, typed: Mapping[str, str], unit: str) -> ShelfItem:
    """Return a container from what was typed; a bare number has the unit given.

    Raises
    ------
    WorkshopError
        If it has no name, or a size is missing or cannot be.
    """
    if not name.strip():
        raise WorkshopError("Give the cup a name first, the one you would look for on the shelf.")
    entry = {"name": name.strip(), "kind": kind}
    for key in MEASURES[kind]:
        text = typed.get(key, "").strip()
        if text:
            has_unit = any(c.isalpha() or c in "\"'″′" for c in text)
            entry[key] = text if has_unit else f"{text} {unit}"
        elif key != "floor" or kind == "cup":
            raise WorkshopError(f"{name.strip()}: measure its {_WORDS[key]} inside, and type it.")
    return shelf_item(entry, "This cup")


_WORDS = {"rim": "width at the rim", "floor": "width at the floor", "depth": "depth",
          "height": "height from the floor to the rim"}  # fmt: skip


def put_on(items: Sequence[ShelfItem], item: ShelfItem) -> tuple[ShelfItem, ...]:
    """Return a shelf with a container on it; one of the same name gives way."""
    return (*taken_off(items, item.name), item)


def taken_off(items: Sequence[ShelfItem], name: str) -> tuple[ShelfItem, ...]:
    """Return a shelf without a container."""
    return tuple(item for item in items if item.name != name)
