"""The Qt window; nothing is computed here."""

from __future__ import annotations

from pathlib import Path


def run_window(path: Path | None = None) -> int:
    """Open the window, on a scan or a job file if one is given, until it is closed.

    Returns
    -------
    int
        Exit status.

    Raises
    ------
    MissingExtra
        If the window's libraries, a screen or a graphics driver are missing.
    """
    # Here, so that asking for the package does not load Qt.
    from partline.faces.viewer.starting import start

    return start(path)
