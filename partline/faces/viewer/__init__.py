"""The Qt window; nothing is computed here."""

from __future__ import annotations

from pathlib import Path


def run_window(path: Path | None = None, *, scans: tuple[Path, ...] = ()) -> int:
    """Open the window, on a scan or a job file if one is given, until it is closed.

    Parameters
    ----------
    path : Path, optional
    scans : tuple of Path
        Folders a job may read its scan from besides its own.

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

    return start(path, scans)
