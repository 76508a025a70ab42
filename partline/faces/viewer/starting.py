"""Start the window: try a screen and 3D in a process apart first, for both can end a process."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import Future, ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from partline.errors import MissingExtra

if TYPE_CHECKING:
    from partline.faces.viewer.work import Opened

_NEEDED = ("PySide6", "qtpy", "pyvistaqt")

# An offscreen 8 x 8 picture and a Qt application, as small as they get.
_TRIAL = """
import sys
try:
    from qtpy.QtGui import QOffscreenSurface, QOpenGLContext
    from qtpy.QtOpenGLWidgets import QOpenGLWidget
    from qtpy.QtWidgets import QApplication
except ImportError as fault:
    print("cannot load", fault, flush=True); sys.exit(4)
application = QApplication([])
print("screen works", flush=True)
from vtkmodules.vtkRenderingCore import vtkRenderWindow
import vtkmodules.vtkRenderingOpenGL2
context, surface = QOpenGLContext(), QOffscreenSurface()
surface.create()
# The 3D pane needs OpenGL 3.2.
if not context.create() or not context.makeCurrent(surface):
    sys.exit(5)
if context.format().version() < (3, 2):
    sys.exit(6)
context.doneCurrent()
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(8, 8)
window.Render()
print("drawing works", flush=True)
"""

_INSTEAD = 'The bench sheet can still be made with "partline plan" and a job file.'


def start(path: Path | None = None, scans: tuple[Path, ...] = ()) -> int:
    """Check, open the window and stay until it is closed; see `run_window`."""
    check_installed()
    trial = begin_trial()
    # Meanwhile what needs no screen is loaded; Qt only where the trial could load it.
    begun = None if path is None else _begin_reading(path, scans)
    from partline.faces import drawing, scene  # noqa: F401

    judge_trial(trial)
    from qtpy.QtGui import QIcon
    from qtpy.QtWidgets import QApplication

    from partline.faces.desktop import icon_file
    from partline.faces.viewer.window import Window

    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("partline")
    application.setDesktopFileName("partline")
    application.setWindowIcon(QIcon(str(icon_file())))
    window = Window()
    window.given = scans
    window.show()
    if path is not None:
        window.open_path(path, begun)
    return int(application.exec())


def _begin_reading(path: Path, scans: tuple[Path, ...] = ()) -> Future[Opened]:
    """Read a piece while the window is made: either takes a second or two."""
    from partline.faces.keeping import kept_for
    from partline.faces.viewer.work import read_any

    return ThreadPoolExecutor(max_workers=1).submit(
        read_any, path, kept=kept_for(path), scans=scans
    )


def check_installed() -> None:
    """Raise MissingExtra naming the command, if a library of the window is not installed."""
    missing = [name for name in _NEEDED if find_spec(name) is None]
    if missing:
        raise MissingExtra(
            f"The window needs {', '.join(missing)}, not installed here. Install it with: "
            f'pip install "partline[window]". {_INSTEAD}'
        )


def check_screen() -> None:
    """Raise MissingExtra if there is no screen or no 3D; tried in a process apart (about 1 s)."""
    judge_trial(begin_trial())


def begin_trial() -> subprocess.Popen[str]:
    """Begin to try the screen in a process apart, so that it costs no time of its own."""
    return subprocess.Popen(
        [sys.executable, "-c", _TRIAL], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        text=True, env=dict(os.environ, QT_API="pyside6"),
    )  # fmt: skip


def judge_trial(trial: subprocess.Popen[str]) -> None:
    """Raise MissingExtra if the trial shows that there is no screen or no 3D.

    Raises
    ------
    MissingExtra
        With what to install, and what can be done without.
    """
    try:
        told, _ = trial.communicate(timeout=60)
    except subprocess.TimeoutExpired:
        trial.kill()
        trial.communicate()
        raise MissingExtra(
            f"This computer's screen did not answer within a minute. {_INSTEAD}"
        ) from None
    if told.startswith("cannot load"):
        raise MissingExtra(
            f"A library that the window needs {told.strip()}. On Debian or Ubuntu install them "
            "with: apt install libgl1 libegl1 libgl1-mesa-dri libxcb-cursor0 libxcb-icccm4 "
            f"libxcb-keysyms1 libxkbcommon-x11-0. {_INSTEAD}"
        )
    if "screen works" not in told:
        hint = ""
        if sys.platform.startswith("linux"):
            hint = (
                "Start it from a desktop; on Debian or Ubuntu install its libraries with: apt "
                "install libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxkbcommon-x11-0. "
            )
        raise MissingExtra(f"There is no screen to open a window on. {hint}{_INSTEAD}")
    if "drawing works" not in told:
        raise MissingExtra(
            "This computer's graphics driver cannot show 3D. Update the driver; on Debian or "
            f"Ubuntu: apt install libgl1 libegl1 libgl1-mesa-dri. {_INSTEAD}"
        )
