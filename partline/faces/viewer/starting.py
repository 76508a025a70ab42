"""Start the window: try a screen and 3D in a process apart first, for both can end a process."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from partline.errors import MissingExtra

_NEEDED = ("PySide6", "qtpy", "pyvistaqt")

# An offscreen 8 x 8 picture and a Qt application, as small as they get.
_TRIAL = """
import sys
try:
    from qtpy.QtWidgets import QApplication
    application = QApplication([])
except Exception as fault:
    print("screen", fault); sys.exit(3)
print("screen works", flush=True)
from vtkmodules.vtkRenderingCore import vtkRenderWindow
import vtkmodules.vtkRenderingOpenGL2
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(8, 8)
window.Render()
print("drawing works", flush=True)
"""

_INSTEAD = 'The bench sheet can still be made with "partline plan" and a job file.'


def start(path: Path | None = None) -> int:
    """Check, open the window and stay until it is closed; see `run_window`."""
    check_installed()
    check_screen()
    from qtpy.QtWidgets import QApplication

    from partline.faces.viewer.window import Window

    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("partline")
    window = Window()
    window.show()
    if path is not None:
        window.open_path(path)
    return int(application.exec())


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
    environment = dict(os.environ, QT_API="pyside6")
    try:
        trial = subprocess.run(
            [sys.executable, "-c", _TRIAL], capture_output=True, text=True, timeout=60,
            env=environment, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise MissingExtra(
            f"This computer's screen did not answer within a minute. {_INSTEAD}"
        ) from None
    if "screen works" not in trial.stdout:
        hint = ""
        if sys.platform.startswith("linux"):
            hint = (
                "Start it from a desktop; on Debian or Ubuntu install its libraries with: apt "
                "install libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxkbcommon-x11-0. "
            )
        raise MissingExtra(f"There is no screen to open a window on. {hint}{_INSTEAD}")
    if "drawing works" not in trial.stdout:
        raise MissingExtra(
            "This computer's graphics driver cannot show 3D. Update the driver; on Debian or "
            f"Ubuntu: apt install libgl1 libegl1 libgl1-mesa-dri. {_INSTEAD}"
        )
