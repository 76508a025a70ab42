"""Help without a network: the keys, the stages, and the documents that came along."""

from __future__ import annotations

from pathlib import Path

from qtpy.QtCore import Qt, QUrl
from qtpy.QtWidgets import QTextBrowser, QWidget

import partline
from partline.faces.viewer.questions import HINTS
from partline.faces.viewer.rows import STAGE_WORDS

_KEYS = """
# Help

The questions come one after the other at the upper right. When all are answered, press
*Work out the plan*. Then go through the stages along the bottom edge, from left to right. Whatever
you change, the later stages follow by themselves; what is grey is of an earlier choice.

## In the picture

Drag to turn · wheel or + and − to come nearer · shift-drag to move · arrow keys to turn.

- **Section** cuts the block open; two sliders turn and shift the plane.
- **On the cut's stage** drag a line by its start, its end, or anywhere along it: the line, what it
  costs and the stretch follow, and the plan follows when you let go. *Let the lines run by
  themselves* forgets that. *Keep this one* takes a cut of the list.
- **On the stand's stage** *Compare mouths* sets other places for the resin side by side.
- **On the air's stage** *Drag tips it* lets a drag tip the block; the air follows.
- **On the pour's stage** *Play* turns the mould, fills it and holds each move.

## Keys

| Key | What it does |
|---|---|
| Ctrl+O · Ctrl+S · Ctrl+Shift+S | open · save the job · save it as |
| Ctrl+Z · Ctrl+Shift+Z | undo · redo a choice |
| Ctrl+1 … Ctrl+7 | the stages, piece to after |
| Ctrl+R · Ctrl+Shift+R | the rubber pour · the resin pour |
| Ctrl+Shift+D, K, A, U, X | detail, cut, air, cup, section on or off |
| F2 … F7 | from its front, left, right, back; from above, below |
| Arrow keys on the dial | tip by 2 degrees; Home is level |
| Ctrl+E · Ctrl+P · Ctrl+I | make the sheet · print it · save the picture |
| Tab · Shift+Tab · Space | go to the next button · to the one before · press it |
| Enter | the answer in a box is taken, and the next question comes |
| Alt and the underlined letter | the menus: everything can be reached from there |
| F1 · Ctrl+Q | this help · quit |

## The stages

"""


def documents() -> list[Path]:
    """Return the documents that came with the program, the guide first."""
    home = Path(partline.__file__).resolve().parent
    for place in (home / "docs", home.parent / "docs"):
        if place.is_dir():
            return sorted(place.glob("*.md"), key=lambda path: (path.stem != "window", path.stem))
    return []


def title(document: Path) -> str:
    """Return the heading of a document."""
    first = document.read_text(encoding="utf-8").lstrip().partition("\n")[0]
    return first.lstrip("# ").strip()


def help_words() -> str:
    """Return the help as Markdown."""
    stages = [f"**{STAGE_WORDS[name][0]}.** {STAGE_WORDS[name][1]} {hint}\n"
              for name, hint in HINTS.items()]  # fmt: skip
    links = [f"- [{title(p)}]({p.name})" for p in documents()]
    more = "\n## More to read\n\n" + "\n".join(links) if links else ""
    return _KEYS + "\n".join(stages) + more


class Help(QTextBrowser):
    """A window of its own; links lead to the documents, all on this computer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowFlag(Qt.Window)
        self.setWindowTitle("partline: help")
        self.resize(680, 640)
        self.setOpenLinks(False)
        self.setSearchPaths([str(p.parent) for p in documents()[:1]])
        self.anchorClicked.connect(self._go)
        self.setMarkdown(help_words())

    def _go(self, link: QUrl) -> None:
        found = [p for p in documents() if p.name == Path(link.path()).name]
        if found:
            back = "[Back to the help](help)\n\n"
            self.setMarkdown(back + found[0].read_text(encoding="utf-8"))
        else:
            self.setMarkdown(help_words())
