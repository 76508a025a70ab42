"""What a bench sheet holds: pages of plain blocks, without layout; HTML and PDF draw the same."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass, field
from typing import Any, Literal

from partline.faces.figures import Said
from partline.faces.paper import Drawing, Row


@dataclass(frozen=True)
class Bold:
    """Words that stand out."""

    words: str


@dataclass(frozen=True)
class Own:
    """Words the user typed; they are never respelled."""

    own: str
    bold: bool = False


@dataclass(frozen=True)
class Big:
    """A number to act on: read from where one stands and works."""

    said: Said


Inline = str | Bold | Own | Big | Said
Text = tuple[Inline, ...]
Size = Literal["act", "body", "small"]


@dataclass(frozen=True)
class Heading:
    """A heading inside a page; it stays with what follows."""

    words: str


@dataclass(frozen=True)
class Line:
    """A paragraph: "act" for what to do, "small" for what is only there to be looked up."""

    text: Text
    size: Size = "body"


@dataclass(frozen=True)
class Steps:
    """Numbered steps."""

    items: tuple[Text, ...]


@dataclass(frozen=True)
class Caution:
    """A caution beside its step."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table.

    Attributes
    ----------
    head : tuple of Text
    rows : tuple of tuple of Text
    shares : tuple of float
        Width of each column as a share of the page; they add up to 1.
    kind : {"scale", "list", "figures", "blank"}
        Large type to act on, a list to look along, small figures, or boxes to fill in.
    """

    head: tuple[Text, ...]
    rows: tuple[tuple[Text, ...], ...]
    shares: tuple[float, ...]
    kind: Literal["scale", "list", "figures", "blank"] = "list"


@dataclass(frozen=True)
class Drawings:
    """Drawings side by side that need not be of true size."""

    row: tuple[Drawing, ...]


@dataclass(frozen=True)
class TrueSize:
    """Drawings at true size, a 100 mm bar both ways beside each page of them."""

    title: str
    words: str
    pages: tuple[tuple[Row, ...], ...]


@dataclass(frozen=True)
class Picture:
    """One of the stills, by name; left out where there is none."""

    name: str
    words: str
    high_mm: float = 82.0


@dataclass(frozen=True)
class Box:
    """Blocks kept together in a frame: something to fill in, or a card to cut out."""

    blocks: tuple[Block, ...]
    kind: Literal["ask", "card"] = "ask"


@dataclass(frozen=True)
class Together:
    """Blocks that are read as one thing: on one page where one holds them."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Front:
    """The first page: the piece in its cup and a few lines, each with the kinds of its numbers."""

    lines: tuple[tuple[Text, str], ...]
    legend: Text
    standing: Drawing


Block = (
    Heading
    | Line
    | Steps
    | Caution
    | Table
    | Drawings
    | TrueSize
    | Picture
    | Box
    | Together
    | Front
)


@dataclass(frozen=True)
class Page:
    """A step of the work: it begins on a new page and takes as many as it needs."""

    title: str
    step: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Sheet:
    """The whole bench sheet, in the order of the work.

    Attributes
    ----------
    job : str
        The user's name for it.
    origin : str
        One line of provenance: file, hash, version.
    pages : tuple of Page
    """

    job: str
    origin: str
    pages: tuple[Page, ...] = field(default=())


_NUMBER = re.compile(
    r"\d+(?:[.,]\d+)?(?: \d+/\d+|/\d+)?(?:\u00a0| )?(?:(?:mm|g|kg|in|oz|mL|L)\b)?°?"
)


def numbered(line: str) -> Text:
    """Return a line with its numbers and their units standing out."""
    out: list[Inline] = []
    last = 0
    for found in _NUMBER.finditer(line):
        if found.start() > last:
            out.append(line[last : found.start()])
        words = found.group()
        out.append(Bold(words.rstrip()))
        if words != words.rstrip():
            out.append(" ")
        last = found.end()
    if last < len(line):
        out.append(line[last:])
    return tuple(out)


def sentence(text: str) -> str:
    """Return a text with a capital and a full stop."""
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?', '!')) else '.'}"


def joined(parts: tuple[Text, ...], between: str) -> Text:
    """Return texts one after the other with something between them."""
    out: list[Inline] = []
    for k, part in enumerate(parts):
        out += [between, *part] if k else [*part]
    return tuple(out)


def mapped(value: Any, change: Any) -> Any:
    """Return blocks with every text of ours changed; the user's own words stay as they are."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(mapped(v, change) for v in value)
    if isinstance(value, Own):
        return value
    if isinstance(value, Drawing):
        return dataclasses.replace(
            value, title=change(value.title), notes=change(value.notes), body=change(value.body)
        )
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kept = ("kind", "size", "name", "tag", "job")
        return dataclasses.replace(
            value,
            **{
                f.name: mapped(getattr(value, f.name), change)
                for f in dataclasses.fields(value)
                if f.name not in kept
            },
        )
    return value
