"""The menus: everything can be reached from the keyboard."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qtpy.QtGui import QAction, QKeySequence
from qtpy.QtWidgets import QMenu

from partline.faces.view import STAGES
from partline.faces.viewer.rows import LAYER_TIPS, SIDES, STAGE_WORDS

if TYPE_CHECKING:
    from partline.faces.viewer.window import Window

_LAYER_KEYS = {"detail": "D", "cut": "K", "air": "A", "cup": "U"}


class Menus:
    """Builds the menus of a window and keeps what depends on its state.

    Parameters
    ----------
    window : Window
        Its errands and verbs are called.
    """

    def __init__(self, window: Window) -> None:
        self._window = window
        self.undo, self.redo = QAction(), QAction()
        self.recent = QMenu("Open &lately")
        self._file()
        self._edit()
        self._view()
        menu = window.menuBar().addMenu("&Help")
        self._add(menu, "&Help and keys", QKeySequence.HelpContents, window.show_help)

    def _add(self, menu: QMenu, words: str, key: Any, act: Callable[[], Any]) -> QAction:
        item = QAction(words, self._window)
        if key is not None:
            item.setShortcut(QKeySequence(key))
        item.triggered.connect(lambda _=False: act())
        menu.addAction(item)
        return item

    def _file(self) -> None:
        window, errands = self._window, self._window.errands
        menu = window.menuBar().addMenu("&File")
        self._add(menu, "&Open a scan or job…", QKeySequence.Open, errands.ask_open)
        menu.addMenu(self.recent)
        self._add(menu, "Open the s&ample", None, window.open_sample)
        menu.addSeparator()
        self._add(menu, "&Save the job", QKeySequence.Save, errands.save_again)
        self._add(menu, "Save the job &as…", "Ctrl+Shift+S", errands.ask_save)
        self._add(menu, "&Make the bench sheet…", "Ctrl+E", window.ask_sheet)
        self._add(menu, "&Print the sheet…", QKeySequence.Print, window.print_sheet)
        menu.addSeparator()
        self._add(menu, "Save the p&icture…", "Ctrl+I", window.outputs.picture)
        self._add(menu, "Save the painted mes&h…", None, window.outputs.mesh)
        self._add(menu, "Save the &cut's line…", None, window.outputs.cut)
        menu.addSeparator()
        self._add(menu, "&Quit", QKeySequence.Quit, window.close)

    def _edit(self) -> None:
        menu = self._window.menuBar().addMenu("&Edit")
        self.undo = self._add(menu, "&Undo", QKeySequence.Undo, self._window.bench.undo)
        self.redo = self._add(menu, "&Redo", "Ctrl+Shift+Z", self._window.bench.redo)

    def _view(self) -> None:
        window = self._window
        menu = window.menuBar().addMenu("&Show")
        for k, stage in enumerate(STAGES):
            button = window.strip.buttons[stage]
            self._add(menu, STAGE_WORDS[stage][0], f"Ctrl+{k + 1}", button.click)
        menu.addSeparator()
        for name in LAYER_TIPS:
            button = window.shows.layers[name]
            self._add(menu, f"{name.capitalize()} on or off", f"Ctrl+Shift+{_LAYER_KEYS[name]}",
                      button.click)  # fmt: skip
        self._add(menu, "Section on or off", "Ctrl+Shift+X", window.shows.open.click)
        for name, key in (("rubber", "Ctrl+R"), ("resin", "Ctrl+Shift+R")):
            self._add(menu, f"The {name} pour", key, window.shows.pours[name].click)
        menu.addSeparator()
        for k, side in enumerate(SIDES):
            self._add(menu, f"From its {side}" if k < 4 else f"From {side}", f"F{k + 2}",
                      window.shows.sides[side].click)  # fmt: skip

    def follow(self, undo: bool, redo: bool) -> None:
        """Grey out what there is nothing for."""
        self.undo.setEnabled(undo)
        self.redo.setEnabled(redo)

    def offer(self, recent: list[Path]) -> None:
        """List the pieces that were open lately."""
        self.recent.clear()
        self.recent.setEnabled(bool(recent))
        for path in recent:
            self._add(self.recent, str(path), None, partial(self._window.open_path, path))
