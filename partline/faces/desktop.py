"""An entry in the desktop's own menu, written only when it is asked for."""

from __future__ import annotations

import shutil
import sys
from importlib.resources import files
from pathlib import Path

from partline.errors import PlanFileError
from partline.whole_file import replace_file

_ENTRY = """\
[Desktop Entry]
Type=Application
Name=partline
GenericName=Mould planning
Comment=From the scan of a master to a cut, a pour and a sheet for the bench
Exec={command} view %f
Icon={icon}
Terminal=false
Categories=Graphics;3DGraphics;
MimeType=model/stl;model/obj;application/sla;
Keywords=mould;casting;silicone;resin;scan;
"""


def icon_file() -> Path:
    """Return the program's picture, a drawing of our own."""
    return Path(str(files("partline.faces").joinpath("templates", "partline.svg")))


def write_entry(folder: Path) -> tuple[Path, Path]:
    """Write the entry and its picture into a user's own data folder; return both paths.

    Parameters
    ----------
    folder : Path
        Where a desktop looks: ~/.local/share, or what XDG_DATA_HOME names (freedesktop.org,
        "Desktop Entry Specification" and "XDG Base Directory Specification").

    Raises
    ------
    PlanFileError
        If they cannot be written, or this computer's desktop has no such menu.
    """
    if not sys.platform.startswith("linux"):
        raise PlanFileError(
            "Only desktops of Linux read such an entry. Here, make a shortcut to "
            f"{_command()} view."
        )
    entry = folder / "applications" / "partline.desktop"
    icon = folder / "icons" / "hicolor" / "scalable" / "apps" / "partline.svg"
    try:
        for path, data in (
            (icon, icon_file().read_bytes()),
            (entry, _ENTRY.format(command=_quoted(_command()), icon=icon).encode("utf-8")),
        ):
            path.parent.mkdir(parents=True, exist_ok=True)
            replace_file(path, data)
    except OSError as error:
        raise PlanFileError(f"The menu entry cannot be written: {error}.") from error
    return entry, icon


def _command() -> str:
    """Return the program as it was started, with its whole path."""
    beside = Path(sys.executable).with_name("partline")
    return str(beside) if beside.is_file() else shutil.which("partline") or "partline"


def _quoted(command: str) -> str:
    """Return a path as the entry's own rules want it: quoted where it holds more than a word."""
    if not any(c in command for c in " \t\"'\\><~|&;$*?#()`"):
        return command
    for c in '\\"`$':
        command = command.replace(c, "\\" + c)
    return f'"{command}"'.replace("\\", "\\\\").replace("%", "%%")
