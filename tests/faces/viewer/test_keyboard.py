"""Everything without a mouse: the keys, the way Tab takes, and the help that needs no network."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from qtpy.QtCore import Qt, QUrl
from qtpy.QtGui import QAction
from qtpy.QtWidgets import QApplication

from partline.faces.viewer.help import Help, documents, help_words

pytestmark = pytest.mark.screen


def _keys(window) -> list[str]:
    found = {a for a in window.findChildren(QAction) if not a.shortcut().isEmpty()}
    return [a.shortcut().toString() for a in found]


def _told() -> set[str]:
    """Return the keys the help tells, its short forms written out."""
    words = help_words()
    told = set(re.findall(r"(?:Ctrl\+)?(?:Shift\+)?(?:F\d|[A-Z0-9])\b", words))
    told |= {f"Ctrl+{k}" for k in range(1, 8)} if "Ctrl+1 … Ctrl+7" in words else set()
    told |= {f"F{k}" for k in range(2, 8)} if "F2 … F7" in words else set()
    for letters in re.findall(r"Ctrl\+Shift\+((?:[A-Z], )+[A-Z])", words):
        told |= {f"Ctrl+Shift+{letter}" for letter in letters.split(", ")}
    return told


def test_every_key_of_the_menus_stands_in_the_help_and_means_one_thing(window):
    keys = _keys(window)
    assert len(keys) > 20
    assert [key for key, number in Counter(keys).items() if number > 1] == []
    assert set(keys) - _told() == set()


def test_tab_goes_round_all_that_can_be_pressed(window, plan, qtbot):
    window.bench.opened(Path("knob.ply"), plan.master)
    window.activateWindow()
    window.prompt.height_text.setFocus()
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None, timeout=3000)
    seen = set()
    for _ in range(60):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key_Tab)
        seen.add(QApplication.focusWidget())
    wanted = [window.prompt.height_text, window.prompt.button, window.prompt.other,
              window.strip.buttons["piece"], window.shows.units["mm"],
              window.pane.view]  # fmt: skip
    # Of buttons of which one is down, Tab finds that one, and the arrow keys the others.
    assert [w for w in wanted if w not in seen] == []
    window.shows.units["mm"].setFocus()
    qtbot.keyClick(window.shows.units["mm"], Qt.Key_Right)
    assert window.shows.units["inches"].isChecked()


def test_the_help_opens_documents_of_this_computer_only(window):
    assert documents()[0].name == "window.md"
    words = help_words() + "".join(p.read_text(encoding="utf-8") for p in documents()[:1])
    assert "http" not in words
    shown = Help(window)
    shown._go(QUrl("window.md"))
    assert "Which cups have you?" in shown.toPlainText()
    pictures = re.findall(r"\((pictures/[^)]+)\)", documents()[0].read_text(encoding="utf-8"))
    assert len(pictures) >= 3
    for name in pictures:
        assert (documents()[0].parent / name).is_file(), name
        assert shown.loadResource(2, QUrl(name)) is not None
    shown._go(QUrl("help"))
    assert "Ctrl+O" in shown.toPlainText()
    shown.close()
